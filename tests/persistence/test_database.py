"""Addresses and the settings of connections."""

from __future__ import annotations

import pytest
from sqlalchemy import text

from trainer.persistence.database import Database, DatabaseAddressError


@pytest.mark.parametrize(
    ("address", "complaint"),
    [
        ("trainer.sqlite3", "not a database address"),
        ("mysql://somebody@example.org/trainer", "unknown kind"),
        ("sqlite://", "needs a file"),
        ("sqlite:///:memory:", "needs a file"),
    ],
)
def test_an_address_that_cannot_be_used_is_refused_with_the_reason(address: str, complaint: str) -> None:
    with pytest.raises(DatabaseAddressError, match=complaint):
        Database(address)


# Values of the pragmas as sqlite.org/pragma.html numbers them: synchronous 2 is FULL.
@pytest.mark.parametrize(
    ("pragma", "value"), [("journal_mode", "wal"), ("synchronous", 2), ("foreign_keys", 1), ("busy_timeout", 30_000)]
)
@pytest.mark.parametrize("block", ["reading", "writing"])
def test_every_connection_is_durable_and_patient(database: Database, block: str, pragma: str, value: object) -> None:
    with getattr(database, block)() as session:
        assert session.execute(text(f"PRAGMA {pragma}")).scalar_one() == value


def test_a_reader_holds_no_transaction_open(database: Database) -> None:
    with database.reading() as session:
        session.execute(text("SELECT count(*) FROM task")).all()
        driver = session.connection().connection.driver_connection
        assert driver is not None
        assert driver.in_transaction is False


def test_a_reader_does_not_wait_for_a_writer(database: Database) -> None:
    with database.writing() as writer, database.reading() as reader:
        writer.execute(text("INSERT INTO learner VALUES ('w', '2026-11-02 12:00:00', '2026-11-02 12:00:00')"))
        assert reader.execute(text("SELECT count(*) FROM learner")).scalar_one() == 0
