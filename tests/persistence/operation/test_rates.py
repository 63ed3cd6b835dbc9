"""Counters of tries."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta

import pytest
from limits import parse
from limits.strategies import FixedWindowRateLimiter
from sqlalchemy import text

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


def test_windows_that_are_over_are_cleared_away(counts: RateCounts, database: Database, clock: Clock) -> None:
    counts.incr("old", 60)
    clock.now += timedelta(minutes=2)
    for number in range(200):
        counts.incr(f"new {number % 3}", 60)
    with database.reading() as session:
        assert session.execute(text("SELECT count(*) FROM rate_count")).scalar_one() == 3
    assert counts.reset() == 3
