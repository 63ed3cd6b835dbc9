"""What comes round: one job a day however many runners there are, chores when their time has come, quick jobs first."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import select

from tests.services.jobs.world import KIND, NOON, Clock, Writing, job, scopes_of
from trainer.persistence.database import Database
from trainer.persistence.operation.audit import SqlAuditLog
from trainer.persistence.privacy.repositories import privacy_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.operation import AuditRow, JobRow, RateCountRow
from trainer.services.jobs.daily import ask_for_today
from trainer.services.jobs.overview import overview
from trainer.services.jobs.rounds import Chore, Rounds
from trainer.services.jobs.running import Runner
from trainer.services.operation.audit import verified
from trainer.services.operation.words import JobState
from trainer.services.privacy.daily import KIND as CLEARING
from trainer.services.privacy.daily import Clearing
from trainer.services.privacy.retention import Retention

RUNNERS = 8


def runner(database: Database, clock: Clock, name: str = "one") -> Runner:
    def retention() -> Retention:
        scopes = SqlStorage(database).scopes(privacy_repositories)
        return Retention(storage=scopes, now=clock, new_id=lambda: "unused")

    return Runner(
        storage=scopes_of(database),
        works={CLEARING: Clearing(retention)},
        now=clock,
        new_id=lambda: f"taking of {name}",
        name=name,
    )


def rows(database: Database) -> list[JobRow]:
    with database.reading() as session:
        return list(session.scalars(select(JobRow).order_by(JobRow.created_at)))


def test_the_work_of_a_day_is_asked_for_once_and_again_on_the_next(database: Database) -> None:
    scopes, clock = scopes_of(database), Clock(now=datetime(2026, 11, 25, 0, 0, tzinfo=UTC))
    assert ask_for_today(scopes, CLEARING, clock())
    clock.now += timedelta(hours=23, minutes=59)
    assert not ask_for_today(scopes, CLEARING, clock())
    clock.now += timedelta(minutes=1)
    assert ask_for_today(scopes, CLEARING, clock())
    assert [each.id for each in rows(database)] == ["retention.clear.2026-11-25", "retention.clear.2026-11-26"]


def test_of_many_runners_at_once_one_asks_and_one_clears(database: Database) -> None:
    with database.writing() as session:
        session.add(RateCountRow(key="k" * 64, hits=3, expires_at=NOON - timedelta(days=2)))
    barrier = threading.Barrier(RUNNERS)

    def go(number: int) -> tuple[bool, bool]:
        barrier.wait()
        asked = ask_for_today(scopes_of(database), CLEARING, NOON)
        return asked, runner(database, Clock(), f"runner {number}").step()

    with ThreadPoolExecutor(RUNNERS) as pool:
        told = list(pool.map(go, range(RUNNERS)))
    assert sum(asked for asked, _ in told) == 1
    assert sum(done for _, done in told) == 1
    (found,) = rows(database)
    assert found.state == "done"
    with database.reading() as session:
        actions = [
            (each.action, each.actor_kind) for each in session.scalars(select(AuditRow).order_by(AuditRow.number))
        ]
        assert session.scalars(select(RateCountRow)).all() == []
    assert actions == [("retention.cleared", "job"), ("retention.clear_done", "job")]
    with SqlStorage(database).scopes(SqlAuditLog).reading() as log:
        assert verified(log.all()).broken_at is None


def test_what_was_cleared_stands_in_the_overview_of_the_last_days(database: Database) -> None:
    clock = Clock()
    for day in range(3):
        with database.writing() as session:
            session.add(RateCountRow(key=str(day) * 64, hits=1, expires_at=clock() - timedelta(days=2)))
        ask_for_today(scopes_of(database), CLEARING, clock())
        runner(database, clock).step()
        clock.now += timedelta(days=1)
    ask_for_today(scopes_of(database), CLEARING, clock())
    found = overview(scopes_of(database), CLEARING, clock())
    assert [each.state for each in found.days] == [JobState.QUEUED, *[JobState.DONE] * 3]
    assert found.waiting == {CLEARING: 1}
    assert found.last_done is not None
    assert found.last_done.created_at == clock() - timedelta(days=1)
    assert found.last_done.result == {"cleared": [{"days": 1, "kind": "counts", "organisation": "", "rows": 1}]}


def test_a_day_on_which_a_runner_was_killed_is_finished_by_another(database: Database) -> None:
    clock = Clock()
    ask_for_today(scopes_of(database), CLEARING, clock())
    with scopes_of(database).writing() as stored:
        assert stored.jobs.take((CLEARING,), "dead", clock(), clock()) is not None
    clock.now += timedelta(seconds=61)
    assert runner(database, clock).step()
    assert [each.state for each in rows(database)] == ["done"]


def test_chores_are_done_when_their_time_has_come_and_one_that_fails_keeps_no_other(
    caplog: pytest.LogCaptureFixture,
) -> None:
    clock, done = Clock(), []

    def fails() -> None:
        raise ZeroDivisionError

    chores = (
        Chore(name="fails", every=timedelta(seconds=1), do=fails),
        Chore(name="often", every=timedelta(seconds=10), do=lambda: done.append("often")),
        Chore(name="seldom", every=timedelta(minutes=1), do=lambda: done.append("seldom")),
    )
    rounds = Rounds(chores, clock)
    for _ in range(7):
        rounds.go()
        clock.now += timedelta(seconds=9)
    # At 0, 18, 36 and 54 seconds, for at 9, 27 and 45 ten have not passed; the other at 0 only.
    assert done == ["often", "seldom", "often", "often", "often"]
    assert "chore fails failed" in caplog.text
    clock.now -= timedelta(days=1)
    done.clear()
    rounds.go()
    assert done == ["often", "seldom"]


def test_a_quick_job_does_not_wait_for_the_end_of_a_long_one(database: Database, tmp_path: Path) -> None:
    diary = Writing(tmp_path / "diary")
    rounds: list[str] = []

    def asked_meanwhile(number: int) -> None:
        if number == 1 and not rounds:
            with scopes_of(database).writing() as stored:
                stored.jobs.add(job("quick", parts=1, kind="test.quick"))

    diary.meanwhile = asked_meanwhile
    with scopes_of(database).writing() as stored:
        stored.jobs.add(job("long", parts=3))
    ids = iter(range(100))
    both = Runner(
        storage=scopes_of(database),
        works={KIND: diary, "test.quick": diary},
        now=Clock(),
        new_id=lambda: f"taking {next(ids)}",
        quick=frozenset({"test.quick"}),
        between=lambda: rounds.append("round"),
    )
    assert both.step()
    assert diary.begun == ["long 1", "quick 1", "long 2", "long 3"]
    assert {each.id: each.state for each in rows(database)} == {"long": "done", "quick": "done"}
    assert len(rounds) == 4


def test_quick_jobs_give_way_to_others_and_never_nest_without_end(database: Database, tmp_path: Path) -> None:
    """Two kinds that each ask for one of the other at every part, as if people kept asking."""
    diary = Writing(tmp_path / "diary")
    asked = iter(range(100))

    def more(_number: int) -> None:
        number = next(asked)
        if number < 6:
            with scopes_of(database).writing() as stored:
                stored.jobs.add(job(f"more-{number}", parts=2, kind="test.b" if number % 2 == 0 else "test.a"))

    diary.meanwhile = more
    with scopes_of(database).writing() as stored:
        stored.jobs.add(job("first", parts=2, kind="test.a"))
    ids = iter(range(100))
    runner_of_two = Runner(
        storage=scopes_of(database),
        works={"test.a": diary, "test.b": diary},
        now=Clock(),
        new_id=lambda: f"taking {next(ids)}",
        quick=frozenset({"test.a", "test.b"}),
    )
    while runner_of_two.step():
        pass
    # After the first part of the first comes the first of the other kind, whole: within it nothing is taken.
    assert diary.begun[:4] == ["first 1", "more-0 1", "more-0 2", "first 2"]
    assert {each.state for each in rows(database)} == {"done"}
    assert len(rows(database)) == 7
