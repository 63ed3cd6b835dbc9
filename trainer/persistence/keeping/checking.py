"""Whether what is stored is whole."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import ForeignKeyConstraint, Select, Table, and_, func, select
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from trainer.persistence.database import Database
from trainer.persistence.operation.audit import SqlAuditLog
from trainer.persistence.schema import newest_version, version
from trainer.persistence.tables import Base
from trainer.persistence.types import CompressedBytes, DamagedContentError
from trainer.services.operation.audit import verified

_AT_ONCE = 500
# As many as SQLite names of its own accord (sqlite.org, PRAGMA integrity_check): a million would help nobody.
NAMED_AT_MOST = 100
_NOT_HASHED = frozenset({"id", "key"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What one check looked at and what it found wrong; nothing wrong is an empty ``problems``."""

    check: str
    looked_at: int
    problems: tuple[str, ...] = ()


def checked(database: Database) -> Iterator[Finding]:
    """Each check in its turn, cheapest first; the others need tables of this version."""
    current = _tables(database)
    yield current
    if current.problems:
        return
    for check in (_file, _references, _hashes, _packed, _chain):
        with database.moment() as session:
            try:
                yield check(session)
            except (DBAPIError, DamagedContentError) as error:
                yield Finding(check=NAMES[check], looked_at=0, problems=(f"could not be read: {error}",))


def _tables(database: Database) -> Finding:
    found, needed = version(database), newest_version()
    if found == needed:
        return Finding(check="version of the tables", looked_at=1)
    problem = f"the tables are of version {found or 'none'}, this program needs {needed}: trainer db upgrade"
    return Finding(check="version of the tables", looked_at=1, problems=(problem,))


def _file(session: Session) -> Finding:
    """SQLite looks at its own pages and indexes (sqlite.org/pragma.html); elsewhere every row is read."""
    if session.get_bind().dialect.name == "sqlite":
        said = [str(row[0]) for row in session.connection().exec_driver_sql("PRAGMA integrity_check")]
        return Finding(check=NAMES[_file], looked_at=1, problems=() if said == ["ok"] else tuple(said))
    tables = Base.metadata.sorted_tables
    for table in tables:
        for _ in _rows(session, select(table)):
            pass
    return Finding(check=NAMES[_file], looked_at=len(tables))


def _rows(session: Session, query: Select[Any]) -> Iterator[Any]:
    """The rows a few at a time; what is open on the server is closed whatever happens."""
    with session.execute(query, execution_options={"yield_per": _AT_ONCE}) as result:
        yield from result


def _references(session: Session) -> Finding:
    constraints = [each for table in Base.metadata.sorted_tables for each in table.foreign_key_constraints]
    problems = tuple(
        f"{lost} rows of {each.table.name} refer to no {each.referred_table.name}"
        for each in constraints
        if (lost := _lost(session, each))
    )
    return Finding(check=NAMES[_references], looked_at=len(constraints), problems=problems)


def _lost(session: Session, constraint: ForeignKeyConstraint) -> int:
    child = constraint.table
    parent = constraint.referred_table.alias()
    pairs = [(element.parent, parent.c[element.column.name]) for element in constraint.elements]
    there = select(1).where(and_(*(own == other for own, other in pairs))).correlate(child).exists()
    # A reference with an empty part refers to nothing on purpose.
    query = select(func.count()).select_from(child).where(*(own.is_not(None) for own, _ in pairs), ~there)
    return session.execute(query).scalar_one()


def _hashes(session: Session) -> Finding:
    table = Base.metadata.tables["task"]
    looked_at, wrong, problems = 0, 0, []
    for content_hash, content in _rows(session, select(table.c.content_hash, table.c.content)):
        looked_at += 1
        if _hash_of(content) != content_hash:
            wrong += 1
            if wrong <= NAMED_AT_MOST:
                problems.append(f"the task {content_hash} is not what its hash tells")
    if wrong > NAMED_AT_MOST:
        problems.append(f"and {wrong - NAMED_AT_MOST} more tasks")
    return Finding(check=NAMES[_hashes], looked_at=looked_at, problems=tuple(problems))


def _hash_of(content: bytes) -> str | None:
    """The hash that names a task: over what is shown of it, without the name itself and without the key."""
    try:
        document = json.loads(content)
    except ValueError:
        return None
    shown = {name: value for name, value in document.items() if name not in _NOT_HASHED}
    text = json.dumps(shown, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode() + b"\n").hexdigest()


def _packed(session: Session) -> Finding:
    looked_at = 0
    for table in Base.metadata.sorted_tables:
        for column in _packed_columns(table):
            for _ in _rows(session, select(table.c[column]).where(table.c[column].is_not(None))):
                looked_at += 1
    return Finding(check=NAMES[_packed], looked_at=looked_at)


def _packed_columns(table: Table) -> list[str]:
    return [column.name for column in table.columns if isinstance(column.type, CompressedBytes)]


def _chain(session: Session) -> Finding:
    report = verified(SqlAuditLog(session).all())
    problems = () if report.broken_at is None else (f"entry {report.broken_at} {report.problem}",)
    return Finding(check=NAMES[_chain], looked_at=report.entries, problems=problems)


NAMES: dict[Callable[[Session], Finding], str] = {
    _file: "files and rows",
    _references: "references",
    _hashes: "hashes of tasks",
    _packed: "packed contents",
    _chain: "audit chain",
}
