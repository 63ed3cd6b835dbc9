"""How the work of the runners stands, for whoever runs the site."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from trainer.services.jobs.daily import daily_id
from trainer.services.jobs.records import Job
from trainer.services.jobs.storage import JobRepositories
from trainer.services.operation.words import JobState
from trainer.services.scopes import Scopes

DAYS_SHOWN = 14


@dataclass(frozen=True, slots=True, kw_only=True)
class Overview:
    """What waits and is being done by kind, for how long, and the daily jobs of one kind, newest first."""

    at: datetime
    waiting: Mapping[str, int]
    running: Mapping[str, int]
    oldest_waits_s: int
    last_sign_of_life: datetime | None
    days: Sequence[Job]

    @property
    def last_done(self) -> Job | None:
        """The newest daily job that was done."""
        return last_done(self.days)


def overview(storage: Scopes[JobRepositories], daily_kind: str, now: datetime) -> Overview:
    """How the work stands now; the number of queries does not depend on the number of jobs."""
    with storage.reading() as stored:
        counts = stored.jobs.unfinished_counts()
        oldest = stored.jobs.oldest_waiting()
        last = stored.jobs.last_sign_of_life()
        days = stored.jobs.of_ids(_ids(daily_kind, now))
    return Overview(
        at=now,
        waiting={kind: number for (kind, state), number in counts.items() if state is JobState.QUEUED},
        running={kind: number for (kind, state), number in counts.items() if state is JobState.RUNNING},
        oldest_waits_s=max(0, int((now - oldest).total_seconds())) if oldest else 0,
        last_sign_of_life=last,
        days=days,
    )


def last_days(storage: Scopes[JobRepositories], daily_kind: str, now: datetime) -> Sequence[Job]:
    """The daily jobs of one kind, newest first."""
    with storage.reading() as stored:
        return stored.jobs.of_ids(_ids(daily_kind, now))


def last_done(days: Sequence[Job]) -> Job | None:
    """The newest of some daily jobs that was done."""
    return next((each for each in days if each.state is JobState.DONE), None)


def _ids(daily_kind: str, now: datetime) -> Sequence[str]:
    return [daily_id(daily_kind, now - timedelta(days=each)) for each in range(DAYS_SHOWN)]
