"""The runner: takes jobs one after the other and does them part by part.

A part is durable together with the progress that counts it. A runner that dies loses at most the
part it was at: its lease runs out, and another goes on from the last finished part.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Final, Protocol

from trainer.domain.errors import TrainerError
from trainer.services.jobs.records import Job, JobFile, Outcome
from trainer.services.jobs.storage import JobRepositories
from trainer.services.operation.audit import Actor, AuditEvent
from trainer.services.operation.words import JobState
from trainer.services.scopes import Scopes

LEASE: Final = timedelta(seconds=60)
"""Without a sign of life for so long, a runner counts as dead."""
MOST_TRIES: Final = 3
"""How often a job may end its runner at the same part."""
FILES_KEPT: Final = timedelta(days=7)
_SIGNS_IN_A_LEASE = 4

UNFORESEEN = "Something went wrong that nobody foresaw; the log of the job runner tells what. Ask for it once more."
ENDED_TOO_OFTEN = (
    "The job runner was ended {tries} times at the same part, perhaps because it ran out of memory. "
    "Ask for less at a time."
)

log = logging.getLogger("trainer.jobs")


class Work(Protocol):
    """How jobs of one kind are done."""

    def part(self, job: Job, number: int, file: Callable[[str], bytes]) -> Sequence[JobFile]:
        """The files of a part, numbered from 1; ``file`` reads those of earlier parts.

        *Raises* TrainerError with the reason in plain words.
        """

    def bound(self, job: Job, file: Callable[[str], bytes]) -> Outcome:
        """What is handed out, made of the parts."""

    def facts(self, job: Job) -> tuple[str, str, str]:
        """What it is about, for the audit chain: what is done, the kind of the subject, and its id."""


@dataclass(frozen=True, kw_only=True)
class Runner:
    """Does jobs; ``stop`` ends it after the part that it is at.

    Between the parts of a job it does ``between``, and one job of the other ``quick`` kinds, for
    which somebody waits.
    """

    storage: Scopes[JobRepositories]
    works: Mapping[str, Work]
    now: Callable[[], datetime]
    new_id: Callable[[], str]
    name: str = "runner"
    lease: timedelta = LEASE
    stop: threading.Event = field(default_factory=threading.Event)
    quick: frozenset[str] = frozenset()
    between: Callable[[], None] = lambda: None

    def step(self) -> bool:
        """Takes one job and does it as far as it goes; False when there was none."""
        return self._step(frozenset(self.works), self.quick & frozenset(self.works))

    def _step(self, kinds: frozenset[str], meanwhile: frozenset[str]) -> bool:
        now = self.now()
        if not kinds:
            return False
        with self.storage.reading() as stored:
            if not stored.jobs.is_waiting(kinds, now - self.lease):
                return False
        # One name for each taking: a runner that comes back from the dead is not taken for its successor.
        taking = f"{self.name[:50]} {self.new_id()}"
        with self.storage.writing() as stored:
            job = stored.jobs.take(kinds, taking, now, now - self.lease)
        if job is None:
            return False
        with self._alive(job):
            # Fewer kinds at each level: no chain of jobs within jobs goes on for ever.
            self._do(job, meanwhile - {job.kind})
        return True

    def _do(self, job: Job, meanwhile: frozenset[str]) -> None:
        current: Job | None = job
        if job.tries > MOST_TRIES:
            self._end(job, JobState.FAILED, failure=ENDED_TOO_OFTEN.format(tries=MOST_TRIES))
            return
        try:
            while current is not None and current.progress_done < current.progress_total:
                if current.cancel_asked_at is not None:
                    self._end(current, JobState.CANCELLED)
                    return
                if self.stop.is_set():
                    self._give_back(current)
                    return
                current = self._part(current)
                self.between()
                if current is not None and current.progress_done < current.progress_total and not self.stop.is_set():
                    self._another(meanwhile)
            if current is not None:
                self._bind(current)
        except TrainerError as error:
            self._end(job, JobState.FAILED, failure=" ".join(f"{each}." for each in error.problems))
        except Exception:
            # Whatever it was, whoever waits must be told that nothing will come.
            log.exception("job %s of kind %s failed", job.id, job.kind)
            self._end(job, JobState.FAILED, failure=UNFORESEEN)

    def _another(self, kinds: frozenset[str]) -> None:
        """One job of these kinds; whatever goes wrong with it is no fault of the one that waits meanwhile."""
        try:
            self._step(kinds, kinds)
        except Exception:
            # Its lease runs out, and it is taken again.
            log.exception("no other job could be done meanwhile")

    def _part(self, job: Job) -> Job | None:
        number = job.progress_done + 1
        files = self.works[job.kind].part(job, number, self._reader(job))
        with self.storage.writing() as stored:
            return stored.jobs.part_done(job.id, job.runner or "", number, files, self.now())

    def _bind(self, job: Job) -> None:
        with self.storage.writing() as stored:
            current = stored.jobs.still_mine(job.id, job.runner or "", self.now())
        if current is None:
            return
        if current.cancel_asked_at is not None:
            self._end(current, JobState.CANCELLED)
            return
        self._end(job, JobState.DONE, outcome=self.works[job.kind].bound(job, self._reader(job)))

    def _reader(self, job: Job) -> Callable[[str], bytes]:
        def read(name: str) -> bytes:
            with self.storage.reading() as stored:
                found = stored.jobs.file(job.id, name)
            return b"" if found is None else found.content

        return read

    def _end(self, job: Job, state: JobState, *, failure: str = "", outcome: Outcome | None = None) -> None:
        made = outcome or Outcome(files=())
        with self.storage.writing() as stored:
            done = stored.jobs.finish(job.id, job.runner or "", state, self.now(), failure=failure, result=made.result)
            if not done:
                return
            stored.jobs.keep_files(job.id, made.files)
            action, kind, subject = self._about(job)
            stored.audit.append(
                AuditEvent(
                    at=self.now(),
                    actor=Actor(kind="job", id=job.id),
                    action=f"{action}_{state.value}",
                    subject_kind=kind,
                    subject_id=subject,
                    organisation_id=job.organisation_id,
                    facts={"files": len(made.files), "parts": job.progress_total},
                )
            )

    def _about(self, job: Job) -> tuple[str, str, str]:
        """What it is about; of a job that nobody understands any more, its kind and id, or it would never end."""
        try:
            return self.works[job.kind].facts(job)
        except Exception:
            log.exception("nobody can tell what job %s of kind %s is about", job.id, job.kind)
            return job.kind, "job", job.id

    def _give_back(self, job: Job) -> None:
        with self.storage.writing() as stored:
            stored.jobs.give_back(job.id, job.runner or "")

    @contextmanager
    def _alive(self, job: Job) -> Iterator[None]:
        """Gives signs of life while a long part is being done."""
        done = threading.Event()

        def sign() -> None:
            while not done.wait(self.lease.total_seconds() / _SIGNS_IN_A_LEASE):
                try:
                    with self.storage.writing() as stored:
                        stored.jobs.still_mine(job.id, job.runner or "", self.now())
                except Exception:
                    # The next one may come through; if none does, another runner takes over.
                    log.exception("no sign of life for job %s", job.id)

        thread = threading.Thread(target=sign, name="sign-of-life", daemon=True)
        thread.start()
        try:
            yield
        finally:
            done.set()
            thread.join()


def drop_old_files(storage: Scopes[JobRepositories], kinds: Collection[str], now: datetime) -> int:
    """Removes files of these kinds whose time is over; gives how many."""
    with storage.writing() as stored:
        return stored.jobs.drop_old_files(kinds, now - FILES_KEPT)


def beat(storage: Scopes[JobRepositories], now: datetime) -> None:
    """Lets pages know that a runner is at work."""
    with storage.writing() as stored:
        stored.jobs.beat(now)
