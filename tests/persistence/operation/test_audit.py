"""The audit chain in the database."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from trainer.persistence.database import Database
from trainer.persistence.operation.audit import SqlAuditLog
from trainer.persistence.repositories import SqlStorage
from trainer.services.operation.audit import Actor, AuditEvent, verified

# Microseconds that no rounding may lose: the hash covers them.
AT = datetime(2026, 11, 2, 12, 0, 0, 123457, tzinfo=UTC)


def event(subject: str) -> AuditEvent:
    return AuditEvent(at=AT, actor=Actor(kind="command"), action="group.made", subject_kind="group", subject_id=subject)


def append(storage: SqlStorage, subject: str) -> None:
    with storage.scopes(SqlAuditLog).writing() as log:
        log.append(event(subject))


def test_many_that_write_at_once_make_one_chain(storage: SqlStorage) -> None:
    with ThreadPoolExecutor(8) as pool:
        list(pool.map(lambda n: append(storage, str(n)), range(40)))
    with storage.scopes(SqlAuditLog).reading() as log:
        report = verified(log.all())
    assert (report.entries, report.problem) == (40, "")


def test_what_is_undone_leaves_no_gap(storage: SqlStorage) -> None:
    append(storage, "kept")
    with pytest.raises(ZeroDivisionError), storage.scopes(SqlAuditLog).writing() as log:
        log.append(event("undone"))
        raise ZeroDivisionError
    append(storage, "kept too")
    with storage.scopes(SqlAuditLog).reading() as log:
        entries = list(log.all())
    assert [each.subject_id for each in entries] == ["kept", "kept too"]
    assert verified(entries).problem == ""


@pytest.mark.parametrize("statement", ["UPDATE audit_entry SET action = 'other'", "DELETE FROM audit_entry"])
def test_the_database_itself_refuses_to_change_or_remove_an_entry(
    storage: SqlStorage, database: Database, statement: str
) -> None:
    append(storage, "kept")
    with pytest.raises(DBAPIError, match="only grows"), database.writing() as session:
        session.execute(text(statement))


def test_a_change_past_the_database_is_found_with_its_place(storage: SqlStorage, database: Database) -> None:
    for subject in ("one", "two", "three"):
        append(storage, subject)
    with database.writing() as session:
        where = " ON audit_entry" if session.get_bind().dialect.name == "postgresql" else ""
        session.execute(text(f"DROP TRIGGER audit_entry_is_never_changed{where}"))
        session.execute(text("UPDATE audit_entry SET subject_id = 'other' WHERE number = 2"))
    with storage.scopes(SqlAuditLog).reading() as log:
        report = verified(log.all())
    assert (report.broken_at, report.problem) == (2, "was changed after it was written")
