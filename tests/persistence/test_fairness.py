"""One that writes in a burst does not keep the others out."""

from __future__ import annotations

import threading
import time

from sqlalchemy import text

from trainer.persistence.database import Database

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
