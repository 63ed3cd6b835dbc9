"""Jobs in the database."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, and_, delete, func, or_, select, update
from sqlalchemy.orm import Session

from trainer.persistence.statements import insert_unless_there
from trainer.persistence.tables.operation import JobFileRow, JobRow
from trainer.persistence.tables.organisations import MemberRow
from trainer.services.jobs.records import FileLine, Job, JobFile, new_job, written
from trainer.services.operation.words import JobState

_IN_JSON = ("payload", "result")
# One row for all runners: whoever asks wants to know whether there is any.
_HEART = "runner.alive"


class SqlJobs:
    """Answers ``trainer.services.jobs.storage.Jobs`` through one session."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, job: Job) -> None:
        """Stores a new job."""
        self._session.add(JobRow(**_values(job)))
        self._session.flush()

    def add_unless_there(self, job: Job) -> bool:
        """Stores a new job; False when one with its id is there."""
        return insert_unless_there(self._session, JobRow, _values(job))

    def is_there(self, job_id: str) -> bool:
        """True when there is a job with this id, of any organisation."""
        return self._session.execute(select(JobRow.id).where(JobRow.id == job_id)).first() is not None

    def get(self, organisation_id: str | None, job_id: str) -> Job | None:
        """The job with this id in this organisation, or of none."""
        row = self._session.scalars(_inside(organisation_id, job_id)).first()
        return None if row is None else _job(row)

    def latest(self, organisation_id: str, kind: str, *, limit: int = 100) -> Sequence[tuple[Job, str]]:
        """The newest jobs of a kind, each with the name of the member who asked."""
        member = and_(MemberRow.organisation_id == JobRow.organisation_id, MemberRow.person_id == JobRow.asked_by)
        query = (
            select(JobRow, MemberRow.display_name)
            .outerjoin(MemberRow, member)
            .where(JobRow.organisation_id == organisation_id, JobRow.kind == kind)
            .order_by(JobRow.created_at.desc(), JobRow.id)
            .limit(limit)
        )
        return [(_job(row), name or "") for row, name in self._session.execute(query)]

    def of_person(
        self,
        organisation_id: str,
        person_id: str,
        kinds: Collection[str],
        after: tuple[datetime, str] | None,
        limit: int,
    ) -> Sequence[Job]:
        """The jobs of some kinds that a person asked for, newest first."""
        query = select(JobRow).where(
            JobRow.organisation_id == organisation_id, JobRow.asked_by == person_id, JobRow.kind.in_(kinds)
        )
        if after is not None:
            at, job_id = after
            earlier = JobRow.created_at < at
            query = query.where(or_(earlier, and_(JobRow.created_at == at, JobRow.id > job_id)))
        query = query.order_by(JobRow.created_at.desc(), JobRow.id).limit(limit)
        return [_job(row) for row in self._session.scalars(query)]

    def of_ids(self, job_ids: Collection[str]) -> Sequence[Job]:
        """The jobs with these ids, of any organisation or of none, newest first."""
        query = select(JobRow).where(JobRow.id.in_(job_ids)).order_by(JobRow.created_at.desc())
        return [_job(row) for row in self._session.scalars(query)]

    def replace(self, job: Job) -> None:
        """Stores a new job in the place of the one with its id, whose files go with it."""
        self.drop(job.organisation_id, job.id)
        # Of two at once the first stands: both ask for the same.
        self.add_unless_there(job)

    def drop(self, organisation_id: str | None, job_id: str) -> None:
        """Forgets a job and its files."""
        theirs = select(JobRow.id).where(JobRow.organisation_id == organisation_id, JobRow.id == job_id)
        self._session.execute(delete(JobFileRow).where(JobFileRow.job_id.in_(theirs)))
        self._session.execute(delete(JobRow).where(JobRow.id.in_(theirs)))

    def unfinished_counts(self) -> Mapping[tuple[str, JobState], int]:
        """How many jobs of each kind wait, and how many are being done."""
        query = select(JobRow.kind, JobRow.state, func.count()).where(_is_unfinished())
        rows = self._session.execute(query.group_by(JobRow.kind, JobRow.state))
        return {(kind, JobState(state)): number for kind, state, number in rows}

    def oldest_waiting(self) -> datetime | None:
        """When the job that waits longest was asked for."""
        query = select(func.min(JobRow.created_at)).where(JobRow.state == JobState.QUEUED.value)
        return self._session.scalars(query).first()

    def beat(self, now: datetime) -> None:
        """A sign of life of a runner, whether it is at a job or not."""
        heart = replace(new_job(_HEART, _HEART, {}, 0, now), state=JobState.DONE, finished_at=now)
        if not self.add_unless_there(heart):
            self._session.execute(update(JobRow).where(JobRow.id == _HEART).values(finished_at=now))

    def last_sign_of_life(self) -> datetime | None:
        """When any runner last gave one."""
        working = select(func.max(JobRow.alive_at)).where(JobRow.state == JobState.RUNNING.value)
        beat = select(JobRow.finished_at).where(JobRow.id == _HEART)
        return max(filter(None, (self._session.scalars(each).first() for each in (working, beat))), default=None)

    def unfinished(self) -> Sequence[Job]:
        """Jobs of all organisations that wait or run, oldest first."""
        query = select(JobRow).where(_is_unfinished()).order_by(JobRow.created_at)
        return [_job(row) for row in self._session.scalars(query)]

    def is_waiting(self, kinds: Collection[str], dead_before: datetime) -> bool:
        """True when there is something to take."""
        query = select(JobRow.id).where(_free(kinds, dead_before)).limit(1)
        return self._session.execute(query).first() is not None

    def take(self, kinds: Collection[str], runner: str, now: datetime, dead_before: datetime) -> Job | None:
        """The oldest free job, from now on this runner's.

        SQLite lets one writer in at a time. In PostgreSQL the row is locked, and one that another
        runner has just locked is passed over.
        """
        query = select(JobRow).where(_free(kinds, dead_before)).order_by(JobRow.created_at, JobRow.id).limit(1)
        row = self._session.scalars(query.with_for_update(skip_locked=True)).first()
        if row is None:
            return None
        row.state, row.runner, row.alive_at = JobState.RUNNING.value, runner, now
        row.started_at = row.started_at or now
        row.tries += 1
        self._session.flush()
        return _job(row)

    def still_mine(self, job_id: str, runner: str, now: datetime) -> Job | None:
        """A sign of life; None when the job is this runner's no more."""
        row = self._mine(job_id, runner)
        if row is None:
            return None
        row.alive_at = now
        self._session.flush()
        return _job(row)

    def part_done(self, job_id: str, runner: str, done: int, files: Sequence[JobFile], now: datetime) -> Job | None:
        """Keeps a finished part; None, and nothing is kept, when the job is this runner's no more."""
        row = self._mine(job_id, runner)
        if row is None:
            return None
        row.progress_done, row.alive_at, row.tries = done, now, 1
        self._session.flush()
        self.keep_files(job_id, files)
        return _job(row)

    def give_back(self, job_id: str, runner: str) -> None:
        """Lets the job wait for another runner: this one was told to stop."""
        row = self._mine(job_id, runner)
        if row is not None:
            row.state, row.runner, row.alive_at = JobState.QUEUED.value, None, None
            row.tries -= 1
            self._session.flush()

    def finish(
        self, job_id: str, runner: str, state: JobState, now: datetime, *, failure: str, result: Mapping[str, Any]
    ) -> bool:
        """Ends the job; its parts are dropped. False when it is this runner's no more."""
        row = self._mine(job_id, runner)
        if row is None:
            return False
        row.state, row.finished_at, row.runner = state.value, now, None
        row.failure, row.result_json = failure, written(result)
        self._session.flush()
        self._session.execute(delete(JobFileRow).where(JobFileRow.job_id == job_id))
        return True

    def keep_files(self, job_id: str, files: Sequence[JobFile]) -> None:
        """Stores files of a job."""
        for each in files:
            row = JobFileRow(job_id=job_id, name=each.name, media_type=each.media_type, content=each.content)
            self._session.add(row)
        self._session.flush()

    def ask_cancel(self, organisation_id: str | None, job_id: str, now: datetime) -> Job | None:
        """Cancels a job that waits, and lets the runner of one that runs know; the job as it stands then."""
        row = self._session.scalars(_inside(organisation_id, job_id).with_for_update()).first()
        if row is None:
            return None
        if row.state == JobState.QUEUED.value:
            row.state, row.finished_at = JobState.CANCELLED.value, now
            self._session.execute(delete(JobFileRow).where(JobFileRow.job_id == job_id))
        if row.cancel_asked_at is None and row.state in (JobState.RUNNING.value, JobState.CANCELLED.value):
            row.cancel_asked_at = now
        self._session.flush()
        return _job(row)

    def files(self, job_id: str) -> Sequence[FileLine]:
        """The files of a job, by name."""
        size = func.length(JobFileRow.content)
        query = select(JobFileRow.name, JobFileRow.media_type, size).where(JobFileRow.job_id == job_id)
        rows = self._session.execute(query.order_by(JobFileRow.name))
        return [FileLine(name=name, media_type=kind, size_bytes=length) for name, kind, length in rows]

    def file(self, job_id: str, name: str) -> JobFile | None:
        """A file with its content."""
        row = self._session.get(JobFileRow, (job_id, name))
        return None if row is None else JobFile(name=row.name, media_type=row.media_type, content=row.content)

    def drop_old_files(self, kinds: Collection[str], before: datetime) -> int:
        """Removes the files of jobs of these kinds that ended before; gives how many files."""
        old = select(JobRow.id).where(JobRow.kind.in_(kinds), JobRow.finished_at < before)
        dropped = delete(JobFileRow).where(JobFileRow.job_id.in_(old)).returning(JobFileRow.name)
        return len(self._session.execute(dropped).all())

    def _mine(self, job_id: str, runner: str) -> JobRow | None:
        running = JobRow.state == JobState.RUNNING.value
        query = select(JobRow).where(JobRow.id == job_id, JobRow.runner == runner, running).with_for_update()
        return self._session.scalars(query).first()


def _is_unfinished() -> ColumnElement[bool]:
    return JobRow.state.in_((JobState.QUEUED.value, JobState.RUNNING.value))


def _free(kinds: Collection[str], dead_before: datetime) -> ColumnElement[bool]:
    waits = JobRow.state == JobState.QUEUED.value
    left = and_(JobRow.state == JobState.RUNNING.value, JobRow.alive_at < dead_before)
    return and_(JobRow.kind.in_(kinds), or_(waits, left))


def _values(job: Job) -> dict[str, Any]:
    plain = {name: getattr(job, name) for name in Job.__slots__ if name not in _IN_JSON}
    return {**plain, "payload_json": written(job.payload), "result_json": written(job.result)}


def _inside(organisation_id: str | None, job_id: str) -> Any:
    return select(JobRow).where(JobRow.organisation_id == organisation_id, JobRow.id == job_id)


def _job(row: JobRow) -> Job:
    plain = {name: getattr(row, name) for name in Job.__slots__ if name not in (*_IN_JSON, "state")}
    return Job(
        **plain,
        state=JobState(row.state),
        payload=json.loads(row.payload_json),
        result=json.loads(row.result_json or "{}"),
    )
