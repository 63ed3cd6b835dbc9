"""A database with rows in many tables."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from sqlalchemy import func, select, text

from tests.persistence.records import ATTEMPT, NOON, keep_page
from tests.web.people.world import furnished
from trainer.persistence.database import Database
from trainer.persistence.operation.audit import SqlAuditLog
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables import Base
from trainer.services.operation.audit import Actor, AuditEvent


def fill(storage: SqlStorage) -> None:
    """Two organisations with one of everything, a graded attempt, and an audit chain."""
    for name in ("college", "firm"):
        furnished(storage, name)
    keep_page(storage)
    with storage.writing() as stored:
        stored.attempts.record(ATTEMPT)
    with storage.scopes(SqlAuditLog).writing() as log:
        for number in range(5):
            log.append(
                AuditEvent(
                    at=NOON,
                    actor=Actor(kind="command"),
                    action="paper.opened",
                    subject_kind="paper",
                    subject_id=f"paper-{number}",
                    facts={"groups": number, "naïve": "Ω"},
                )
            )


@pytest.fixture
def filled(storage: SqlStorage, database: Database) -> Database:
    fill(storage)
    return database


def rows_of(database: Database) -> Mapping[str, list[tuple[object, ...]]]:
    """Every row of every table, read by plain statements and put in an order of Python's own."""
    with database.reading() as session:
        connection = session.connection()
        return {
            table.name: sorted((tuple(row) for row in connection.execute(select(table))), key=repr)
            for table in Base.metadata.sorted_tables
        }


def filled_tables(database: Database) -> int:
    with database.reading() as session:
        counts = [
            session.execute(select(func.count()).select_from(t)).scalar_one() for t in Base.metadata.sorted_tables
        ]
    return sum(1 for count in counts if count)


def figures_of(database: Database) -> Mapping[str, int]:
    """The rows of each table as the database itself believes."""
    if database.kind == "sqlite":
        # The first number is that of the rows (sqlite.org/fileformat2.html, The sqlite_stat1 table).
        query = "SELECT tbl, CAST(stat AS INTEGER) FROM sqlite_stat1"
    else:
        query = "SELECT relname, CAST(reltuples AS INTEGER) FROM pg_class WHERE relkind = 'r' AND reltuples >= 0"
    with database.reading() as session:
        return {row[0]: row[1] for row in session.execute(text(query))}
