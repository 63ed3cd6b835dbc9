"""Many at once."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy import column, select, table, text, update

from tests.persistence.records import ATTEMPT, PAGE, keep_page
from trainer.persistence.database import Database
from trainer.persistence.repositories import SqlStorage

THREADS = 8
ROUNDS = 25
COUNTER = table("counter", column("value"))

# Locks the row, as database.py asks of everybody who reads in order to write; SQLite has no such lock and needs none.
WORKER = """
import sys
from sqlalchemy import column, select, table, update
from trainer.persistence.database import Database
COUNTER = table("counter", column("value"))
database = Database(sys.argv[1])
for _ in range(int(sys.argv[2])):
    with database.writing() as session:
        value = session.execute(select(COUNTER.c.value).with_for_update()).scalar_one()
        session.execute(update(COUNTER).values(value=value + 1))
database.close()
"""


@pytest.fixture
def counting(database: Database) -> Database:
    with database.writing() as session:
        session.execute(text("CREATE TABLE counter (value INTEGER NOT NULL)"))
        session.execute(text("INSERT INTO counter VALUES (0)"))
    return database


def count_up(database: Database) -> None:
    with database.writing() as session:
        value = session.execute(select(COUNTER.c.value).with_for_update()).scalar_one()
        session.execute(update(COUNTER).values(value=value + 1))


def counted(database: Database) -> int:
    with database.reading() as session:
        return session.execute(text("SELECT value FROM counter")).scalar_one()


def test_threads_that_read_and_then_write_never_fail_and_lose_nothing(counting: Database) -> None:
    with ThreadPoolExecutor(THREADS) as pool:
        list(pool.map(count_up, [counting] * (THREADS * ROUNDS)))
    assert counted(counting) == THREADS * ROUNDS


def test_processes_that_read_and_then_write_never_fail_and_lose_nothing(
    counting: Database, database_address: str
) -> None:
    command = [sys.executable, "-c", WORKER, database_address, str(ROUNDS)]
    workers = [subprocess.Popen(command, stderr=subprocess.PIPE, text=True) for _ in range(4)]
    complaints = [worker.communicate()[1] for worker in workers]
    assert complaints == [""] * 4
    assert counted(counting) == 4 * ROUNDS


@pytest.mark.only("sqlite")
def test_without_the_right_to_write_from_the_start_the_same_work_fails(counting: Database, tmp_path: Path) -> None:
    """The reason for BEGIN IMMEDIATE (sqlite.org, SQLITE_BUSY_SNAPSHOT): a deferred reader cannot become a writer."""
    with closing(sqlite3.connect(tmp_path / "trainer.sqlite3", isolation_level=None, timeout=5)) as connection:
        connection.execute("BEGIN")
        connection.execute("SELECT value FROM counter").fetchone()
        count_up(counting)
        with pytest.raises(sqlite3.OperationalError, match="database is locked"):
            connection.execute("UPDATE counter SET value = 0")
        connection.execute("ROLLBACK")


def test_one_form_posted_many_times_at_once_is_graded_once(storage: SqlStorage) -> None:
    keep_page(storage)
    ready = threading.Barrier(THREADS)

    def post(sender: int):
        ready.wait()
        with storage.writing() as stored:
            return stored.attempts.record(replace(ATTEMPT, id=f"attempt-{sender}"))

    with ThreadPoolExecutor(THREADS) as pool:
        answers = list(pool.map(post, range(THREADS)))
    assert len({answer.id for answer in answers}) == 1
    with storage.reading() as stored:
        assert stored.attempts.at_page(PAGE.id) == (answers[0],)
        assert len(answers[0].outcomes) == 2
