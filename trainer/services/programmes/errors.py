"""What can be wrong with what is asked of programmes, refreshers and records."""

from __future__ import annotations

from trainer.domain.errors import TrainerError


class ProgrammeError(TrainerError):
    """Something that cannot be done with a programme as it stands."""


class ChangedMeanwhileError(ProgrammeError):
    """A programme that somebody else changed since the page was opened."""


class RefresherError(TrainerError):
    """Something that cannot be done with a refresher as it stands."""


class RecordError(TrainerError):
    """Something that cannot be done with a training record as it stands."""
