"""Jobs for tests: work that can be watched and killed from outside."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from trainer.domain.errors import Problem, TrainerError
from trainer.persistence.database import Database
from trainer.persistence.jobs.repositories import job_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.services.jobs.records import Job, JobFile, Outcome
from trainer.services.jobs.running import Runner
from trainer.services.jobs.storage import JobRepositories
from trainer.services.operation.words import JobState
from trainer.services.scopes import Scopes

KIND = "test.slow"
NOON = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)


def job(job_id: str = "job-1", *, parts: int = 3, kind: str = KIND, **payload: object) -> Job:
    return Job(
        id=job_id,
        organisation_id=None,
        kind=kind,
        state=JobState.QUEUED,
        payload=payload,
        result={},
        failure="",
        progress_done=0,
        progress_total=parts,
        tries=0,
        asked_by=None,
        created_at=NOON,
    )


def scopes_of(database: Database) -> Scopes[JobRepositories]:
    return SqlStorage(database).scopes(job_repositories)


@dataclass
class Writing:
    """Each part writes a line into a file first, so that one sees what was begun, and takes its time."""

    diary: Path
    takes_s: float = 0.0
    meanwhile: Callable[[int], None] = lambda _number: None

    def part(self, job: Job, number: int, _file: Callable[[str], bytes]) -> Sequence[JobFile]:
        with self.diary.open("a") as diary:
            diary.write(f"{job.id} {number}\n")
        if job.payload.get("refuses") == number:
            raise TrainerError(Problem(path="paper", problem="is no longer there"))
        if job.payload.get("breaks") == number:
            raise ZeroDivisionError
        self.meanwhile(number)
        time.sleep(self.takes_s)
        return [JobFile(name=f"part-{number}", media_type="text/plain", content=f"{number} ".encode())]

    def bound(self, job: Job, file: Callable[[str], bytes]) -> Outcome:
        content = b"".join(file(f"part-{number}") for number in range(1, job.progress_total + 1))
        return Outcome(files=(JobFile(name="all", media_type="text/plain", content=content),), result={"length": 3})

    def facts(self, job: Job) -> tuple[str, str, str]:
        return "test", "job", job.id

    @property
    def begun(self) -> list[str]:
        return self.diary.read_text().splitlines() if self.diary.exists() else []


@dataclass
class Clock:
    now: datetime = NOON

    def __call__(self) -> datetime:
        return self.now


def runner_of(database: Database, work: Writing, clock: Callable[[], datetime], name: str = "one") -> Runner:
    ids = iter(f"taking-{number}" for number in range(1000))
    return Runner(storage=scopes_of(database), works={KIND: work}, now=clock, new_id=lambda: next(ids), name=name)
