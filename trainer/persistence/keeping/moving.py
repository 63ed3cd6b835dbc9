"""All rows from one database into another of any kind, compared afterwards."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Row, Table, insert, select
from sqlalchemy.engine import Connection
from sqlalchemy.exc import DBAPIError

from trainer.domain.errors import Problem, TrainerError
from trainer.persistence.database import Database
from trainer.persistence.keeping.emptiness import refuse_unless_empty
from trainer.persistence.schema import newest_version, upgrade, version
from trainer.persistence.tables import Base

_AT_ONCE = 500
_HASHES = 2**256


class MoveError(TrainerError):
    """Rows that could not be moved; the database they come from is as it was."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """A table in both databases: the number of rows, and one hash over all of them."""

    table: str
    rows: int
    rows_there: int
    hash: str
    hash_there: str

    @property
    def equal(self) -> bool:
        """True when both hold the same rows."""
        return (self.rows, self.hash) == (self.rows_there, self.hash_there)


Progress = Callable[[str, int], None]


def move(source: Database, target: Database, progress: Progress = lambda _table, _rows: None) -> tuple[Moved, ...]:
    """Copies every row in one transaction and compares table by table what was written, before it counts.

    Nobody can write into an SQLite source meanwhile; of a PostgreSQL source one moment is
    copied, so stop the program first.

    Raises: MoveError, NotEmptyError.
    """
    if source.address == target.address:
        raise MoveError(Problem(path=str(target.address), problem="is where the data is already"))
    found = version(source)
    if found != newest_version():
        problem = f"has tables of version {found or 'none'}; first bring them up to date: trainer db upgrade"
        raise MoveError(Problem(path=str(source.address), problem=problem))
    refuse_unless_empty(target)
    upgrade(target)
    with _still(source) as old, target.writing() as session:
        new = session.connection()
        for table in Base.metadata.sorted_tables:
            _fill(old, new, table, progress)
        moved = tuple(_compared(old, new, table) for table in Base.metadata.sorted_tables)
        differing = [Problem(path=each.table, problem="is not the same there") for each in moved if not each.equal]
        if differing:
            raise MoveError(*differing)
    return moved


@contextmanager
def _still(source: Database) -> Iterator[Connection]:
    """A connection that sees one moment."""
    with source.writing() as session:
        connection = session.connection()
        if source.kind == "postgresql":
            connection.exec_driver_sql("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
        yield connection


def _fill(old: Connection, new: Connection, table: Table, progress: Progress) -> None:
    progress(table.name, 0)
    for rows in _batches(old, table):
        try:
            new.execute(insert(table), [row._asdict() for row in rows])
        except (DBAPIError, ValueError) as error:
            problem = f"a row cannot be kept there: {getattr(error, 'orig', error)}; nothing was moved"
            raise MoveError(Problem(path=table.name, problem=problem)) from error
        progress(table.name, len(rows))


def _compared(old: Connection, new: Connection, table: Table) -> Moved:
    rows, content_hash = hash_of(old, table)
    rows_there, hash_there = hash_of(new, table)
    return Moved(table=table.name, rows=rows, rows_there=rows_there, hash=content_hash, hash_there=hash_there)


def hash_of(connection: Connection, table: Table) -> tuple[int, str]:
    """The number of rows, and a hash that does not depend on their order: the sum of each row's SHA-256."""
    count, total = 0, 0
    for rows in _batches(connection, table):
        for row in rows:
            count += 1
            text = json.dumps([_plain(value) for value in row], separators=(",", ":"))
            total += int.from_bytes(hashlib.sha256(text.encode()).digest(), "big")
    return count, f"{total % _HASHES:064x}"


def _batches(connection: Connection, table: Table) -> Iterator[list[Row[Any]]]:
    with connection.execute(select(table), execution_options={"yield_per": _AT_ONCE}) as result:
        yield from (list(part) for part in result.partitions())


def _plain(value: object) -> object:
    if isinstance(value, bytes):
        return hashlib.sha256(value).hexdigest()
    return value.isoformat() if isinstance(value, datetime) else value
