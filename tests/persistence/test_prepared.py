"""Statements that go to the driver itself give what SQLAlchemy gives, and fail as it fails."""

from __future__ import annotations

import sqlite3
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import Boolean, Integer, bindparam, delete, func, insert, literal, select, update
from sqlalchemy.exc import DBAPIError, IntegrityError

from tests.persistence.heard import statements
from tests.persistence.records import NOON, TASK
from trainer.persistence.database import Database
from trainer.persistence.failures import is_of_database, is_out_of_reach
from trainer.persistence.models import LearnerRow, TaskRow
from trainer.persistence.people import standings
from trainer.persistence.people.rows import columns_of, table_of
from trainer.persistence.prepared import Prepared
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.accounts import PersonRow, SignedInRow
from trainer.persistence.types import NaiveDatetimeError
from trainer.services.storage import StoredTask

LEARNER = table_of(LearnerRow)
OWN = {"id": "anna", "created_at": NOON, "last_seen_at": NOON + timedelta(microseconds=1)}
ADDED = Prepared(insert(LEARNER).returning(LEARNER.c.last_seen_at, LEARNER.c.id))
SEEN = Prepared(
    update(LEARNER)
    .where(LEARNER.c.id == bindparam("who"), LEARNER.c.created_at < LEARNER.c.last_seen_at)
    .values(last_seen_at=bindparam("at", type_=LEARNER.c.last_seen_at.type))
    .returning(LEARNER.c.id, LEARNER.c.last_seen_at, literal(2).label("two"))
)
FOUND = Prepared(select(LEARNER.c.id, LEARNER.c.created_at, LEARNER.c.last_seen_at).order_by(LEARNER.c.id))


def test_values_come_back_as_they_went_in_and_under_their_own_types(database: Database) -> None:
    with database.at_once() as asked:
        assert asked.first(ADDED, OWN) == [OWN["last_seen_at"], "anna"]
    later = datetime(2026, 11, 2, 15, 0, tzinfo=UTC)
    with database.at_once() as asked:
        assert asked.first(SEEN, {"who": "anna", "at": later}) == ["anna", later, 2]
        assert asked.first(SEEN, {"who": "nobody", "at": later}) is None
    with database.asking() as asked:
        ((name, created_at, seen_at),) = asked.rows(FOUND, {})
    assert (name, created_at, seen_at) == ("anna", NOON, later)
    assert (created_at.tzinfo, seen_at.tzinfo) == (UTC, UTC)


def test_every_kind_of_column_is_turned_as_sqlalchemy_turns_it(storage: SqlStorage, database: Database) -> None:
    with storage.writing() as stored:
        stored.tasks.keep(TASK)
    columns = columns_of(TaskRow, StoredTask)
    truths = [
        literal(True, Boolean).label("yes"),
        literal(0, Boolean).label("no"),
        literal(None, Integer).label("none"),
    ]
    statement = select(*columns, *truths).where(table_of(TaskRow).c.content_hash == bindparam("content_hash"))
    values = {"content_hash": TASK.content_hash}
    with database.reading() as session:
        expected = session.execute(statement, values).one()
    with database.asking() as asked:
        found = asked.first(Prepared(statement), values)
    assert found is not None
    assert (tuple(found), [*map(type, found)]) == (tuple(expected), [*map(type, expected)])
    assert StoredTask(**dict(zip(StoredTask.__slots__, found[:-3], strict=True))) == TASK


def test_who_is_signed_in_is_told_as_sqlalchemy_tells_it(database: Database) -> None:
    """Six tables with names of columns that several of them have."""
    person = PersonRow(id="ann", sign_in_name="ann", display_name="Ann", is_operator=False, created_at=NOON)
    session_row = SignedInRow(id="s", person_id="ann", token_hash="h" * 64, device="", expires_at=NOON)
    session_row.created_at = session_row.last_seen_at = NOON
    with database.writing() as session:
        session.add(person)
        session.flush()
        session.add(session_row)
    values = {"token_hash": "h" * 64}
    with database.reading() as session:
        expected = [tuple(row) for row in session.execute(standings._STANDING._statement, values)]
    with database.asking() as asked:
        found = [tuple(row) for row in asked.rows(standings._STANDING, values)]
    assert found == expected
    assert len(found) == 1


def test_nothing_is_written_where_it_is_only_asked(database: Database) -> None:
    with pytest.raises(DBAPIError, match=r"read-?only"), database.asking() as asked:
        asked.first(ADDED, OWN)
    with database.asking() as asked:
        assert asked.rows(FOUND, {}) == []


def test_a_value_that_is_missing_or_has_no_zone_is_refused_before_the_database_is_asked(database: Database) -> None:
    with pytest.raises(KeyError), database.asking() as asked, statements() as said:
        asked.rows(SEEN, {"who": "anna"})
    assert said == []
    with pytest.raises(NaiveDatetimeError), database.at_once() as asked:
        asked.rows(SEEN, {"who": "anna", "at": datetime(2026, 11, 2)})  # noqa: DTZ001 - it is what is refused


def test_what_the_driver_raises_comes_as_sqlalchemy_raises_it(database: Database) -> None:
    with database.at_once() as asked:
        asked.first(ADDED, OWN)
    with pytest.raises(IntegrityError) as failed, database.at_once() as asked:
        asked.first(ADDED, OWN)
    assert is_of_database(failed.value)
    assert failed.value.orig is not None
    # The connection is as good as before.
    with database.at_once() as asked:
        assert asked.first(ADDED, {**OWN, "id": "bert"}) is not None


def test_of_a_write_that_fails_on_the_way_nothing_is_left_in_sqlite(database: Database) -> None:
    """In PostgreSQL each statement is a transaction of its own, so what came before stays."""
    with pytest.raises(ZeroDivisionError), database.at_once() as asked:
        asked.first(ADDED, OWN)
        raise ZeroDivisionError
    with database.asking() as asked:
        assert len(asked.rows(FOUND, {})) == (0 if database.kind == "sqlite" else 1)


@pytest.mark.only("sqlite")
def test_whoever_writes_at_once_has_the_right_to_write_from_the_start(database: Database) -> None:
    other = sqlite3.connect(str(database.address.database), timeout=0)
    with database.at_once(), pytest.raises(sqlite3.OperationalError, match="locked"):
        other.execute("BEGIN IMMEDIATE")
    other.execute("BEGIN IMMEDIATE")
    other.close()


@pytest.mark.only("postgresql")
@pytest.mark.parametrize("block", ["asking", "at_once"])
def test_a_connection_that_is_cut_in_the_middle_is_told_as_lost_and_replaced(database: Database, block: str) -> None:
    number = Prepared(select(func.pg_backend_pid()))
    with pytest.raises(DBAPIError) as failed, getattr(database, block)() as asked:
        (own,) = asked.first(number, {})
        with database.reading() as session:
            session.execute(select(func.pg_terminate_backend(own, 5000))).all()
        asked.first(number, {})
    assert failed.value.connection_invalidated
    assert is_out_of_reach(failed.value)
    with getattr(database, block)() as asked:
        assert asked.first(number, {})[0] != own


@pytest.mark.only("postgresql")
def test_a_connection_that_wrote_at_once_is_given_back_for_transactions(database: Database) -> None:
    with database.at_once() as asked:
        asked.first(ADDED, OWN)
    with pytest.raises(ZeroDivisionError), database.writing() as session:
        session.execute(delete(LearnerRow))
        raise ZeroDivisionError
    with database.asking() as asked:
        assert len(asked.rows(FOUND, {})) == 1
