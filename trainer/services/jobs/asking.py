"""Asking for jobs, looking at them, cancelling them, and taking what they made."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Final

from trainer.services.jobs.records import FileLine, Job, JobFile, new_job
from trainer.services.jobs.running import FILES_KEPT, LEASE
from trainer.services.jobs.storage import JobRepositories, Place
from trainer.services.operation.audit import AuditEvent, Fact
from trainer.services.operation.words import JobState
from trainer.services.people.here import Here
from trainer.services.scopes import Scopes

SOON: Final = timedelta(seconds=10)
"""A runner looks every second; after so long nobody is looking."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """What a job is about, for the audit chain: ``verb`` begins the action, such as ``paper.print``."""

    verb: str
    kind: str
    id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JobView:
    """A job as a page shows it; ``is_left`` when it waits and no runner gives a sign of life."""

    job: Job
    files: tuple[FileLine, ...]
    until: datetime | None
    is_left: bool


@dataclass(frozen=True, kw_only=True)
class JobDesk:
    """The use cases of whoever asks for jobs."""

    storage: Scopes[JobRepositories]
    now: Callable[[], datetime]
    new_id: Callable[[], str]

    def ask(self, here: Here, kind: str, payload: Mapping[str, Any], parts: int, subject: Subject) -> Job:
        """A new job of so many parts, which waits for a runner."""
        job = new_job(self.new_id(), kind, payload, parts, self.now(), here.organisation_id, here.person_id)
        with self.storage.writing() as stored:
            stored.jobs.add(job)
            stored.audit.append(self._event(here, "asked", subject, parts=parts))
        return job

    def ask_once(
        self,
        job_id: str,
        kind: str,
        payload: Mapping[str, Any],
        parts: int,
        *,
        organisation_id: str | None = None,
        asked_by: str | None = None,
        is_same: Callable[[Job], bool] = lambda _job: True,
    ) -> Job:
        """The job with this id, if it is not over and still the same that is wanted; else a new one in its place."""
        job = new_job(job_id, kind, payload, parts, self.now(), organisation_id, asked_by)
        with self.storage.writing() as stored:
            known = stored.jobs.get(organisation_id, job_id)
            if known is not None and not known.is_over and is_same(known):
                return known
            stored.jobs.replace(job)
        return job

    def view(self, job: Job) -> JobView:
        """The job with what its page tells of it."""
        is_done = job.state is JobState.DONE
        return JobView(
            job=job,
            files=tuple(self.files(job.id)) if is_done else (),
            until=job.finished_at + FILES_KEPT if is_done and job.finished_at else None,
            is_left=self.is_left(job),
        )

    def is_left(self, job: Job) -> bool:
        """True when the job waits, or its runner is gone, and no runner is at work."""
        if job.state is JobState.RUNNING:
            return job.alive_at is not None and self.now() - job.alive_at > LEASE and not self.is_runner_at_work()
        is_late = self.now() - job.created_at > SOON
        return job.state is JobState.QUEUED and is_late and not self.is_runner_at_work()

    def is_runner_at_work(self) -> bool:
        """True when any runner gave a sign of life within its lease."""
        with self.storage.reading() as stored:
            last = stored.jobs.last_sign_of_life()
        return last is not None and self.now() - last <= LEASE

    def mine(self, here: Here, kinds: Collection[str], after: Place | None, limit: int) -> Sequence[Job]:
        """What the member asked for, newest first."""
        with self.storage.reading() as stored:
            return stored.jobs.of_person(here.organisation_id, here.person_id, kinds, after, limit)

    def find(self, job_id: str, kind: str, organisation_id: str | None = None) -> Job | None:
        """A job of a kind by the id that its asker gave it."""
        with self.storage.reading() as stored:
            found = stored.jobs.get(organisation_id, job_id)
        return found if found is not None and found.kind == kind else None

    def waiting(self) -> int:
        """How many jobs of everybody wait or are being done."""
        with self.storage.reading() as stored:
            return sum(stored.jobs.unfinished_counts().values())

    def file(self, job: Job, name: str) -> JobFile | None:
        """A file of a finished job whose taking is nobody else's business."""
        with self.storage.reading() as stored:
            return stored.jobs.file(job.id, name) if job.state is JobState.DONE else None

    def get(self, here: Here, job_id: str) -> Job | None:
        """A job of the organisation."""
        with self.storage.reading() as stored:
            return stored.jobs.get(here.organisation_id, job_id)

    def latest(self, here: Here, kind: str) -> Sequence[tuple[Job, str]]:
        """The newest jobs of a kind, each with the name of who asked."""
        with self.storage.reading() as stored:
            return stored.jobs.latest(here.organisation_id, kind)

    def files(self, job_id: str) -> Sequence[FileLine]:
        """What a job hands out."""
        with self.storage.reading() as stored:
            return stored.jobs.files(job_id)

    def fetch(self, here: Here, job: Job, name: str, subject: Subject) -> JobFile | None:
        """A file of a finished job; the taking is noted."""
        if job.state is not JobState.DONE:
            return None
        with self.storage.writing() as stored:
            found = stored.jobs.file(job.id, name)
            if found is not None:
                stored.audit.append(self._event(here, "fetched", subject, file=name))
        return found

    def cancel(self, here: Here, job_id: str, subject: Subject) -> Job | None:
        """Cancels a job: at once while it waits, after the part that it is at while it runs."""
        with self.storage.writing() as stored:
            before = stored.jobs.get(here.organisation_id, job_id)
            if before is None or before.is_over:
                return before
            job = stored.jobs.ask_cancel(here.organisation_id, job_id, self.now())
            stored.audit.append(self._event(here, "cancel_asked", subject))
        return job

    def _event(self, here: Here, done: str, subject: Subject, **facts: Fact) -> AuditEvent:
        return AuditEvent(
            at=self.now(),
            actor=here.actor,
            action=f"{subject.verb}_{done}",
            subject_kind=subject.kind,
            subject_id=subject.id,
            organisation_id=here.organisation_id,
            facts=facts,
        )
