"""Times and bytes in the database."""

from __future__ import annotations

import zlib
from datetime import UTC, datetime, timedelta, timezone

import pytest
from sqlalchemy import text
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.exc import StatementError
from sqlalchemy.schema import CreateTable

from tests.persistence.records import CONTENT, LEARNER, NOON, TASK
from trainer.persistence.database import Database
from trainer.persistence.models import LearnerRow, TaskRow
from trainer.persistence.tables import Base


def test_a_time_without_a_zone_is_refused(database: Database) -> None:
    naive = datetime(2026, 3, 29, 1, 30)  # noqa: DTZ001 - the point of the test
    row = LearnerRow(id="naive", created_at=naive, last_seen_at=NOON)
    with pytest.raises(StatementError, match="no time zone"), database.writing() as session:
        session.add(row)


def test_a_time_of_another_zone_comes_back_as_the_same_moment_in_utc(database: Database) -> None:
    local = datetime(2026, 7, 1, 13, 0, tzinfo=timezone(timedelta(hours=1)))
    with database.writing() as session:
        session.add(LearnerRow(id="summer", created_at=local, last_seen_at=local))
    with database.reading() as session:
        row = session.get_one(LearnerRow, "summer")
        assert row.created_at == datetime(2026, 7, 1, 12, 0, tzinfo=UTC)
        assert row.created_at.tzinfo == UTC


def test_the_content_of_a_task_lies_compressed_in_the_file(database: Database) -> None:
    with database.writing() as session:
        session.add(TaskRow(**{name: getattr(TASK, name) for name in TASK.__slots__}))
    with database.reading() as session:
        stored = session.execute(text("SELECT content FROM task")).scalar_one()
        assert zlib.decompress(stored) == CONTENT


@pytest.mark.parametrize("dialect", [sqlite.dialect(), postgresql.dialect()], ids=["sqlite", "postgresql"])
def test_every_table_can_be_written_for(dialect) -> None:
    statements = [str(CreateTable(table).compile(dialect=dialect)) for table in Base.metadata.sorted_tables]
    assert len(statements) == 49
    seed = "BIGINT"
    assert any(f"seed {seed}" in statement for statement in statements)


def test_every_constraint_has_a_name_so_that_a_migration_can_find_it() -> None:
    unnamed = [
        f"{table.name}: {constraint}"
        for table in Base.metadata.tables.values()
        for constraint in [*table.constraints, *table.indexes]
        if constraint.name is None
    ]
    assert unnamed == []


def test_an_id_of_the_program_fits_its_column() -> None:
    from trainer.web.wiring import random_id

    assert len(random_id()) <= LearnerRow.__table__.c.id.type.length
    assert LEARNER.id


def test_every_name_fits_into_what_postgresql_keeps_of_one() -> None:
    """PostgreSQL documentation, 4.1.1: names are cut to 63 bytes."""
    names = [
        str(thing.name)
        for table in Base.metadata.tables.values()
        for thing in [table, *table.constraints, *table.indexes, *table.columns]
    ]
    assert max(map(len, names)) <= 63
