"""What can be wrong with what is asked of a sitting."""

from __future__ import annotations

from trainer.domain.errors import TrainerError


class SittingError(TrainerError):
    """Something that cannot be done with a sitting as it stands."""


class NotYoursError(SittingError):
    """A paper or sitting that is not there for whoever asks."""


class WrongCodeError(SittingError):
    """An access code that is not the one said in the room."""


class SittingOverError(SittingError):
    """A sitting that was handed in, or whose time is up."""


class SittingPausedError(SittingError):
    """Something that needs a running clock, while it stands for a rest break."""
