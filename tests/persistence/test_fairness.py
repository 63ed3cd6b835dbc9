"""One that writes in a burst does not keep the others out."""

from __future__ import annotations

import errno
import fcntl
import os
import threading
import time
from pathlib import Path

import pytest
from sqlalchemy import text

from trainer.persistence.database import Database
from trainer.persistence.turns import Turns

NOON = "'2026-11-02 12:00:00'"


def test_a_burst_of_one_writer_lets_the_others_in_well_within_their_patience(database: Database) -> None:
    """sqlite.org/c3ref/busy_timeout.html: who waits tries again until its time, 30 s here, is over."""
    stop = threading.Event()
    written = []

    def burst() -> None:
        while not stop.is_set():
            with database.writing() as session:
                session.execute(text(f"INSERT INTO learner VALUES ('burst-{len(written)}', {NOON}, {NOON})"))
            written.append(1)

    writer = threading.Thread(target=burst)
    writer.start()
    waited_s = []
    try:
        for number in range(15):
            start = time.monotonic()
            with database.writing() as session:
                session.execute(text(f"INSERT INTO learner VALUES ('other-{number}', {NOON}, {NOON})"))
            waited_s.append(time.monotonic() - start)
    finally:
        stop.set()
        writer.join()
    assert written
    assert max(waited_s) < 15


@pytest.mark.only("sqlite")
def test_of_those_who_wait_to_write_none_looks_in_vain_while_the_others_go_on(database: Database) -> None:
    """SQLite sleeps up to 100 ms between two looks (sqlite.org, main.c, sqliteDefaultBusyCallback); here one is woken.

    Each holds the right to write nearly all the time, so whoever only looks now and then would seldom
    find it free.
    """
    # By number, not by time: on a busy machine three seconds may be a few turns of each.
    written, whole = dict.fromkeys(range(4), 0), 240

    def write(number: int) -> None:
        while sum(written.values()) < whole:
            with database.writing() as session:
                session.execute(text(f"INSERT INTO learner VALUES ('{number}-{written[number]}', {NOON}, {NOON})"))
                time.sleep(0.005)
            written[number] += 1

    threads = [threading.Thread(target=write, args=(number,)) for number in written]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert min(written.values()) * 3 > max(written.values()), written


@pytest.mark.only("sqlite")
def test_a_turn_ends_with_its_process_and_one_that_cannot_be_taken_keeps_nobody_from_writing(tmp_path: Path) -> None:
    """flock(2): the lock is released when the file is closed, so at the latest with the end of the process."""
    turns = Turns(tmp_path / "trainer.sqlite3")
    child = os.fork()
    if child == 0:
        with turns.taken():
            os._exit(0)
    os.waitpid(child, 0)
    with turns.taken(), turns.taken():
        assert [path.name for path in tmp_path.iterdir()] == ["trainer.sqlite3-turn"]
    with Turns(tmp_path / "not there" / "trainer.sqlite3").taken(), Turns(None).taken():
        pass


@pytest.mark.only("sqlite")
def test_a_turn_is_given_back_whole_though_a_process_was_forked_during_it(tmp_path: Path) -> None:
    """flock(2): forked processes share a lock; closing leaves it with the others, unlocking ends it for all."""
    turns = Turns(tmp_path / "trainer.sqlite3")
    until, let_go = os.pipe()
    with turns.taken():
        child = os.fork()
        if child == 0:
            os.close(let_go)
            os.read(until, 1)
            os._exit(0)
    handle = os.open(tmp_path / "trainer.sqlite3-turn", os.O_RDWR)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    finally:
        os.close(handle)
        os.close(let_go)
        os.waitpid(child, 0)
        os.close(until)


@pytest.mark.only("sqlite")
def test_where_a_file_system_knows_no_locks_everybody_writes_without_turns(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """flock(2): ENOLCK and, where the file system has none, ENOTSUP; SQLite's own lock decides then."""

    def refused(_handle: int, _what: int) -> None:
        raise OSError(errno.ENOTSUP, "no locks here")

    monkeypatch.setattr(fcntl, "flock", refused)
    written = False
    with Turns(tmp_path / "trainer.sqlite3").taken():
        written = True
    assert written
