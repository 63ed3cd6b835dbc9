"""What can be wrong with what is asked of a paper."""

from __future__ import annotations

from trainer.domain.errors import TrainerError


class PaperError(TrainerError):
    """Something about a paper that cannot be used as it is."""


class PaperChangedError(PaperError):
    """Somebody else changed the paper since it was opened for editing."""


class PaperStateError(PaperError):
    """A step that the paper's state does not allow."""


class MarkError(TrainerError):
    """A change of marks that cannot be made as it is."""
