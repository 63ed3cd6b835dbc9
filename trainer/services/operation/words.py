"""The closed lists of this subject; values are stored and never renamed."""

from __future__ import annotations

from enum import StrEnum


class JobState(StrEnum):
    """Where a job stands."""

    QUEUED = "queued"
    RUNNING = "running"
    DONE = "done"
    FAILED = "failed"
    CANCELLED = "cancelled"
