"""What jobs ask of storage; persistence answers it.

Whatever a runner writes holds only while the job is its own: ``runner`` names one taking of one
job, so that a runner that was given up for dead and comes back changes nothing.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime
from typing import Any, Protocol

from trainer.services.jobs.records import FileLine, Job, JobFile
from trainer.services.operation.audit import AuditLog
from trainer.services.operation.words import JobState

Place = tuple[datetime, str]
"""Where a page of jobs begins: after the one that was asked for then, with this id."""


class Jobs(Protocol):
    """Jobs and their files."""

    def add(self, job: Job) -> None:
        """Stores a new job."""

    def add_unless_there(self, job: Job) -> bool:
        """Stores a new job; False when one with its id is there."""

    def is_there(self, job_id: str) -> bool:
        """True when there is a job with this id, of any organisation."""

    def get(self, organisation_id: str | None, job_id: str) -> Job | None:
        """The job with this id in this organisation, or of none."""

    def latest(self, organisation_id: str, kind: str, *, limit: int = 100) -> Sequence[tuple[Job, str]]:
        """The newest jobs of a kind, each with the name of the member who asked."""

    def of_person(
        self,
        organisation_id: str,
        person_id: str,
        kinds: Collection[str],
        after: tuple[datetime, str] | None,
        limit: int,
    ) -> Sequence[Job]:
        """The jobs of some kinds that a person asked for, newest first."""

    def of_ids(self, job_ids: Collection[str]) -> Sequence[Job]:
        """The jobs with these ids, of any organisation or of none, newest first."""

    def replace(self, job: Job) -> None:
        """Stores a new job in the place of the one with its id, whose files go with it."""

    def unfinished_counts(self) -> Mapping[tuple[str, JobState], int]:
        """How many jobs of each kind wait, and how many are being done."""

    def oldest_waiting(self) -> datetime | None:
        """When the job that waits longest was asked for."""

    def drop(self, organisation_id: str | None, job_id: str) -> None:
        """Forgets a job and its files."""

    def beat(self, now: datetime) -> None:
        """A sign of life of a runner, whether it is at a job or not."""

    def last_sign_of_life(self) -> datetime | None:
        """When any runner last gave one."""

    def unfinished(self) -> Sequence[Job]:
        """Jobs of all organisations that wait or run, oldest first."""

    def is_waiting(self, kinds: Collection[str], dead_before: datetime) -> bool:
        """True when there is something to take."""

    def take(self, kinds: Collection[str], runner: str, now: datetime, dead_before: datetime) -> Job | None:
        """The oldest job that waits, or whose runner gave no sign of life; now it is this runner's."""

    def still_mine(self, job_id: str, runner: str, now: datetime) -> Job | None:
        """A sign of life; None when the job is this runner's no more."""

    def part_done(self, job_id: str, runner: str, done: int, files: Sequence[JobFile], now: datetime) -> Job | None:
        """Keeps a finished part; None, and nothing is kept, when the job is this runner's no more."""

    def give_back(self, job_id: str, runner: str) -> None:
        """Lets the job wait for another runner: this one was told to stop."""

    def finish(
        self, job_id: str, runner: str, state: JobState, now: datetime, *, failure: str, result: Mapping[str, Any]
    ) -> bool:
        """Ends the job; its parts are dropped. False when it is this runner's no more."""

    def keep_files(self, job_id: str, files: Sequence[JobFile]) -> None:
        """Stores files of a job."""

    def ask_cancel(self, organisation_id: str | None, job_id: str, now: datetime) -> Job | None:
        """Cancels a job that waits, and lets the runner of one that runs know; the job as it stands then."""

    def files(self, job_id: str) -> Sequence[FileLine]:
        """The files of a job, by name."""

    def file(self, job_id: str, name: str) -> JobFile | None:
        """A file with its content."""

    def drop_old_files(self, kinds: Collection[str], before: datetime) -> int:
        """Removes the files of jobs of these kinds that ended before; gives how many files."""


class JobRepositories(Protocol):
    """What a transaction about jobs needs."""

    @property
    def jobs(self) -> Jobs:
        """Jobs."""

    @property
    def audit(self) -> AuditLog:
        """The audit chain."""
