"""Asking for jobs, looking at them, cancelling them, and taking what they made."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from trainer.services.jobs.records import FileLine, Job, JobFile
from trainer.services.jobs.storage import JobRepositories
from trainer.services.operation.audit import AuditEvent, Fact
from trainer.services.operation.words import JobState
from trainer.services.people.here import Here
from trainer.services.scopes import Scopes


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """What a job is about, for the audit chain: ``verb`` begins the action, such as ``paper.print``."""

    verb: str
    kind: str
    id: str


@dataclass(frozen=True, kw_only=True)
class JobDesk:
    """The use cases of whoever asks for jobs."""

    storage: Scopes[JobRepositories]
    now: Callable[[], datetime]
    new_id: Callable[[], str]

    def ask(self, here: Here, kind: str, payload: Mapping[str, Any], parts: int, subject: Subject) -> Job:
        """A new job of so many parts, which waits for a runner."""
        job = Job(
            id=self.new_id(),
            organisation_id=here.organisation_id,
            kind=kind,
            state=JobState.QUEUED,
            payload=payload,
            result={},
            failure="",
            progress_done=0,
            progress_total=parts,
            tries=0,
            asked_by=here.person_id,
            created_at=self.now(),
        )
        with self.storage.writing() as stored:
            stored.jobs.add(job)
            stored.audit.append(self._event(here, "asked", subject, parts=parts))
        return job

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
