"""Counters of tries."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta

import pytest
from limits import parse
from limits.strategies import FixedWindowRateLimiter
from sqlalchemy import Engine, event, text

from trainer.persistence.database import Database
from trainer.persistence.operation.rates import RateCounts


class Clock:
    def __init__(self) -> None:
        self.now = datetime(2026, 11, 2, 12, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def counts(database: Database, clock: Clock) -> RateCounts:
    return RateCounts(database=database, now=clock)


def test_it_is_a_storage_as_the_library_asks_for(counts: RateCounts) -> None:
    limiter = FixedWindowRateLimiter(counts)
    limit = parse("2 per minute")
    assert [limiter.hit(limit, "me") for _ in range(3)] == [True, True, False]
    assert limiter.hit(limit, "you")
    limiter.clear(limit, "me")
    assert limiter.test(limit, "me")


def test_a_window_opens_anew_when_its_time_is_over(counts: RateCounts, clock: Clock) -> None:
    assert [counts.incr("k", 60) for _ in range(3)] == [1, 2, 3]
    clock.now += timedelta(seconds=59)
    assert counts.get("k") == 3
    clock.now += timedelta(seconds=1)
    assert counts.get("k") == 0
    assert counts.incr("k", 60) == 1


def test_several_machines_count_together_and_lose_nothing(
    database: Database, clock: Clock, database_address: str
) -> None:
    databases = [Database(database_address) for _ in range(4)]
    machines = [RateCounts(database=each, now=clock) for each in databases]
    with ThreadPoolExecutor(4) as pool:
        told = list(pool.map(lambda n: machines[n % 4].incr("k", 60), range(100)))
    for each in databases:
        each.close()
    assert sorted(told) == list(range(1, 101))


def test_no_name_and_no_address_stands_in_the_table(counts: RateCounts, database: Database) -> None:
    counts.incr("ann@example.org from 192.0.2.7", 60)
    with database.reading() as session:
        rows = session.execute(text("SELECT * FROM rate_count")).all()
    assert len(rows) == 1
    assert "ann" not in str(rows)
    assert "192" not in str(rows)


@contextmanager
def statements() -> Iterator[list[str]]:
    """What the database is asked in the block."""
    asked: list[str] = []

    def noted(_connection: object, _cursor: object, statement: str, *_: object) -> None:
        asked.append(statement)

    event.listen(Engine, "before_cursor_execute", noted)
    try:
        yield asked
    finally:
        event.remove(Engine, "before_cursor_execute", noted)


def test_several_counts_are_asked_for_by_one_statement_and_each_is_told_once(counts: RateCounts) -> None:
    counts.incr("here", 60, amount=3)
    with statements() as asked, counts.asked_at_once(["here", "nowhere"]):
        assert (counts.get("here"), counts.get("nowhere")) == (3, 0)
        assert len(asked) == 1
        # Whoever asks again wants to know what it is by then.
        assert counts.get("here") == 3
        assert len(asked) == 2


def test_what_was_counted_since_it_was_asked_for_is_told(counts: RateCounts) -> None:
    with counts.asked_at_once(["here", "there"]):
        counts.incr("here", 60)
        counts.incr("there", 60)
        counts.clear("there")
        assert (counts.get("here"), counts.get("there")) == (1, 0)
    with counts.asked_at_once(["here", "there"]):
        pass
    counts.incr("here", 60)
    assert counts.get("here") == 2


def test_a_window_that_is_over_counts_nothing_also_when_asked_at_once(counts: RateCounts, clock: Clock) -> None:
    counts.incr("here", 60)
    clock.now += timedelta(seconds=60)
    with counts.asked_at_once(["here", "there"]):
        assert (counts.get("here"), counts.get("there")) == (0, 0)


def test_windows_that_are_over_are_cleared_away(counts: RateCounts, database: Database, clock: Clock) -> None:
    counts.incr("old", 60)
    clock.now += timedelta(minutes=2)
    for number in range(200):
        counts.incr(f"new {number % 3}", 60)
    with database.reading() as session:
        assert session.execute(text("SELECT count(*) FROM rate_count")).scalar_one() == 3
    assert counts.reset() == 3
