"""Jobs in plain values."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from trainer.services.operation.words import JobState


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """Work that was asked for; ``payload`` says what, ``result`` what came of it.

    ``tries`` counts how often a runner took it since the last finished part.
    """

    id: str
    organisation_id: str | None
    kind: str
    state: JobState
    payload: Mapping[str, Any]
    result: Mapping[str, Any]
    failure: str
    progress_done: int
    progress_total: int
    tries: int
    asked_by: str | None
    created_at: datetime
    started_at: datetime | None = None
    finished_at: datetime | None = None
    cancel_asked_at: datetime | None = None
    runner: str | None = None
    alive_at: datetime | None = None

    @property
    def is_over(self) -> bool:
        """True when nothing more is done for it."""
        return self.state not in (JobState.QUEUED, JobState.RUNNING)


@dataclass(frozen=True, slots=True, kw_only=True)
class JobFile:
    """A file that a job made."""

    name: str
    media_type: str
    content: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class FileLine:
    """A file in a list: how large, not what is in it."""

    name: str
    media_type: str
    size_bytes: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What a job hands out in place of its parts, and what its page tells of it."""

    files: tuple[JobFile, ...]
    result: Mapping[str, Any] = field(default_factory=dict)


def written(values: Mapping[str, Any]) -> str:
    """The values as they are stored."""
    return json.dumps(dict(values), sort_keys=True, separators=(",", ":"))


def new_job(
    job_id: str,
    kind: str,
    payload: Mapping[str, Any],
    parts: int,
    at: datetime,
    organisation_id: str | None = None,
    asked_by: str | None = None,
) -> Job:
    """A job that waits for a runner."""
    return Job(
        id=job_id,
        organisation_id=organisation_id,
        kind=kind,
        state=JobState.QUEUED,
        payload=payload,
        result={},
        failure="",
        progress_done=0,
        progress_total=parts,
        tries=0,
        asked_by=asked_by,
        created_at=at,
    )
