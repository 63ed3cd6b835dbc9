"""Addresses and the settings of connections."""

from __future__ import annotations

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

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


@pytest.mark.only("sqlite")
# Values of the pragmas as sqlite.org/pragma.html numbers them: synchronous 2 is FULL.
@pytest.mark.parametrize(
    ("pragma", "value"), [("journal_mode", "wal"), ("synchronous", 2), ("foreign_keys", 1), ("busy_timeout", 30_000)]
)
@pytest.mark.parametrize("block", ["reading", "writing"])
def test_every_connection_is_durable_and_patient(database: Database, block: str, pragma: str, value: object) -> None:
    with getattr(database, block)() as session:
        assert session.execute(text(f"PRAGMA {pragma}")).scalar_one() == value


@pytest.mark.only("postgresql")
@pytest.mark.parametrize("block", ["reading", "writing"])
def test_a_commit_waits_for_the_disk_of_the_server(database: Database, block: str) -> None:
    """postgresql.org, Write Ahead Log: with synchronous_commit on, success is told after the log is flushed."""
    with getattr(database, block)() as session:
        assert session.execute(text("SHOW synchronous_commit")).scalar_one() == "on"


@pytest.mark.only("postgresql")
@pytest.mark.parametrize("block", ["reading", "writing"])
def test_a_connection_that_was_cut_while_it_lay_idle_is_replaced_unnoticed(
    database: Database, block: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("trainer.persistence.database._IDLE_S", 0.0)
    own_number, cut = text("SELECT pg_backend_pid()"), text("SELECT pg_terminate_backend(:number, 5000)")
    with getattr(database, block)() as session:
        number = session.execute(own_number).scalar_one()
    other = Database(database.address.render_as_string(hide_password=False))
    with other.reading() as session:
        assert session.execute(cut, {"number": number}).scalar_one()
    other.close()
    with getattr(database, block)() as session:
        assert session.execute(own_number).scalar_one() != number


def test_a_reader_holds_no_transaction_open(database: Database) -> None:
    with database.reading() as session:
        session.execute(text("SELECT count(*) FROM task")).all()
        driver = session.connection().connection.driver_connection
        assert driver is not None
        if session.get_bind().dialect.name == "sqlite":
            assert driver.in_transaction is False
        else:
            assert driver.info.transaction_status.name == "IDLE"


def test_a_reader_does_not_wait_for_a_writer(database: Database) -> None:
    with database.writing() as writer, database.reading() as reader:
        writer.execute(text("INSERT INTO learner VALUES ('w', '2026-11-02 12:00:00', '2026-11-02 12:00:00')"))
        assert reader.execute(text("SELECT count(*) FROM learner")).scalar_one() == 0


def test_a_moment_stays_as_it_was_while_others_write(database: Database) -> None:
    count = text("SELECT count(*) FROM learner")
    learner = text("INSERT INTO learner VALUES (:id, '2026-11-02 12:00:00', '2026-11-02 12:00:00')")
    with database.moment() as seen:
        assert seen.execute(count).scalar_one() == 0
        with database.writing() as writer:
            writer.execute(learner, {"id": "w"})
        assert seen.execute(count).scalar_one() == 0
    with database.moment() as seen:
        assert seen.execute(count).scalar_one() == 1
        with pytest.raises(DBAPIError, match=r"read-?only"):
            seen.execute(learner, {"id": "x"})
