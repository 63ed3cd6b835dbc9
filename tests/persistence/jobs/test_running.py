"""The runner on both databases: parts, leases, cancelling, failing. Expected values are counted by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import select

from tests.services.jobs.world import KIND, NOON, Clock, Writing, job, runner_of, scopes_of
from trainer.persistence.database import Database
from trainer.persistence.jobs.jobs import SqlJobs
from trainer.persistence.tables.operation import AuditRow, JobFileRow, JobRow
from trainer.services.jobs.records import Job
from trainer.services.jobs.running import FILES_KEPT, LEASE, MOST_TRIES, UNFORESEEN, drop_old_files
from trainer.services.operation.words import JobState


@pytest.fixture
def work(tmp_path: Path) -> Writing:
    return Writing(tmp_path / "diary")


def add(database: Database, *jobs: Job) -> None:
    with scopes_of(database).writing() as stored:
        for each in jobs:
            stored.jobs.add(each)


def row(database: Database, job_id: str = "job-1") -> JobRow:
    with database.reading() as session:
        found = session.get(JobRow, job_id)
    assert found is not None
    return found


def names(database: Database) -> list[str]:
    with database.reading() as session:
        return sorted(session.scalars(select(JobFileRow.name)))


def test_a_job_is_done_part_by_part_and_hands_out_only_what_it_was_asked_for(database: Database, work: Writing) -> None:
    add(database, job())
    assert runner_of(database, work, Clock()).step()
    assert work.begun == ["job-1 1", "job-1 2", "job-1 3"]
    done = row(database)
    assert (done.state, done.progress_done, done.runner, done.failure) == ("done", 3, None, "")
    with scopes_of(database).reading() as stored:
        made = stored.jobs.file("job-1", "all")
    assert made is not None
    assert made.content == b"1 2 3 "
    assert names(database) == ["all"]
    with database.reading() as session:
        entries = [(each.action, each.actor_kind) for each in session.scalars(select(AuditRow))]
    assert entries == [("test_done", "job")]


def test_nothing_to_do_is_said(database: Database, work: Writing) -> None:
    add(database, job(kind="somebody.else"))
    assert not runner_of(database, work, Clock()).step()


def test_jobs_are_done_in_the_order_in_which_they_were_asked_for(database: Database, work: Writing) -> None:
    add(database, job("job-2", parts=1), job("job-1", parts=1))
    runner = runner_of(database, work, Clock())
    assert [runner.step(), runner.step(), runner.step()] == [True, True, False]
    assert work.begun == ["job-1 1", "job-2 1"]


def test_a_reason_in_plain_words_is_handed_on_and_the_parts_are_dropped(database: Database, work: Writing) -> None:
    add(database, job(refuses=2))
    runner_of(database, work, Clock()).step()
    assert row(database).state == "failed"
    assert "is no longer there" in row(database).failure
    assert names(database) == []


def test_what_nobody_foresaw_is_told_without_its_innards(
    database: Database, work: Writing, caplog: pytest.LogCaptureFixture
) -> None:
    add(database, job(breaks=1))
    runner_of(database, work, Clock()).step()
    assert row(database).state == "failed"
    assert "log of the job runner" in row(database).failure
    assert "ZeroDivisionError" not in row(database).failure
    assert "ZeroDivisionError" in caplog.text


def test_nobody_cancels_a_job_of_another_organisation(database: Database, work: Writing) -> None:
    add(database, job())
    with scopes_of(database).writing() as stored:
        assert stored.jobs.ask_cancel("elsewhere", "job-1", NOON) is None
    assert row(database).state == "queued"
    assert runner_of(database, work, Clock()).step()


def test_a_job_that_runs_is_cancelled_after_the_part_that_it_is_at(database: Database, work: Writing) -> None:
    add(database, job())

    def cancel(number: int) -> None:
        if number == 2:
            with database.writing() as session:
                session.execute(JobRow.__table__.update().values(cancel_asked_at=NOON))

    work.meanwhile = cancel
    runner_of(database, work, Clock()).step()
    assert work.begun == ["job-1 1", "job-1 2"]
    assert row(database).state == "cancelled"
    assert names(database) == []


def test_a_runner_that_is_told_to_stop_gives_the_job_back_and_the_next_goes_on(
    database: Database, work: Writing
) -> None:
    add(database, job())
    first = runner_of(database, work, Clock())
    work.meanwhile = lambda number: first.stop.set() if number == 1 else None
    first.step()
    given = row(database)
    assert (given.state, given.progress_done, given.runner) == ("queued", 1, None)
    runner_of(database, work, Clock(), "two").step()
    assert work.begun == ["job-1 1", "job-1 2", "job-1 3"]
    assert row(database).state == "done"


def test_a_job_is_taken_over_when_its_lease_has_run_out_and_not_before(database: Database, work: Writing) -> None:
    add(database, job())
    clock = Clock()
    with scopes_of(database).writing() as stored:
        assert stored.jobs.take((KIND,), "dead", NOON, NOON - LEASE) is not None
    second = runner_of(database, work, clock, "two")
    clock.now = NOON + LEASE
    assert not second.step()
    clock.now = NOON + LEASE + timedelta(seconds=1)
    assert second.step()
    assert row(database).state == "done"


def test_a_runner_that_comes_back_from_the_dead_changes_nothing(database: Database, work: Writing) -> None:
    add(database, job())
    clock = Clock()

    def sleep_too_long(number: int) -> None:
        if number == 1:
            clock.now += 2 * LEASE
            work.meanwhile = lambda _number: None
            assert runner_of(database, work, clock, "two").step()

    work.meanwhile = sleep_too_long
    first = runner_of(database, work, clock)
    first.step()
    assert work.begun == ["job-1 1", "job-1 1", "job-1 2", "job-1 3"]
    assert row(database).state == "done"
    assert names(database) == ["all"]
    with database.reading() as session:
        assert len(session.scalars(select(AuditRow)).all()) == 1


def test_a_job_that_ends_its_runner_again_and_again_is_given_up_with_a_reason(
    database: Database, work: Writing
) -> None:
    add(database, job())
    clock = Clock()
    for _ in range(MOST_TRIES):
        with scopes_of(database).writing() as stored:
            assert stored.jobs.take((KIND,), "dead", clock.now, clock.now - LEASE) is not None
        clock.now += 2 * LEASE
    assert runner_of(database, work, clock).step()
    assert work.begun == []
    assert row(database).state == "failed"
    assert f"ended {MOST_TRIES} times" in row(database).failure


def test_files_are_removed_when_their_time_is_over_and_the_job_stays(database: Database, work: Writing) -> None:
    add(database, job())
    clock = Clock()
    runner = runner_of(database, work, clock)
    runner.step()
    clock.now = NOON + FILES_KEPT
    assert drop_old_files(scopes_of(database), (KIND,), clock.now) == 0
    clock.now += timedelta(seconds=1)
    assert drop_old_files(scopes_of(database), (KIND,), clock.now) == 1
    assert names(database) == []
    assert row(database).state == JobState.DONE.value


def test_a_part_of_a_runner_that_was_given_up_for_dead_is_not_kept(database: Database, work: Writing) -> None:
    add(database, job())
    clock = Clock()

    def taken_over(number: int) -> None:
        clock.now += 2 * LEASE
        with scopes_of(database).writing() as stored:
            assert stored.jobs.take((KIND,), "second", clock.now, clock.now - LEASE) is not None

    work.meanwhile = taken_over
    runner_of(database, work, clock).step()
    assert work.begun == ["job-1 1"]
    assert (row(database).progress_done, row(database).runner) == (0, "second")
    assert names(database) == []


class Pathless(Writing):
    """What a job is about cannot be told, as of a job that an older version asked for."""

    def facts(self, job: Job) -> tuple[str, str, str]:
        raise KeyError(job.id)


def test_a_job_of_which_nobody_can_tell_what_it_is_about_ends_and_stops_no_runner(
    database: Database, tmp_path: Path
) -> None:
    add(database, job("old", breaks=1))
    runner = runner_of(database, Pathless(tmp_path / "old"), Clock())
    assert runner.step()
    assert (row(database, "old").state, row(database, "old").failure) == ("failed", UNFORESEEN)
    with database.reading() as session:
        (entry,) = session.scalars(select(AuditRow))
    assert (entry.action, entry.subject_kind, entry.subject_id) == (f"{KIND}_failed", "job", "old")


def test_a_quick_job_that_cannot_even_be_taken_does_no_harm_to_the_long_one(
    database: Database, work: Writing, monkeypatch: pytest.MonkeyPatch
) -> None:
    add(database, job())
    quick = "test.quick"
    works = {KIND: work, quick: work}
    runner = replace(runner_of(database, work, Clock()), works=works, quick=frozenset({quick}))
    taking = SqlJobs.take

    def take(jobs: SqlJobs, kinds: frozenset[str], *more: object) -> Job | None:
        if kinds == {quick}:
            raise OSError("planted: the disk was away for a moment")
        return taking(jobs, kinds, *more)

    monkeypatch.setattr(SqlJobs, "take", take)
    work.meanwhile = lambda number: add(database, job("quick", kind=quick, parts=1)) if number == 1 else None
    assert runner.step()
    assert row(database).state == "done"
    assert row(database, "quick").state == "queued"
