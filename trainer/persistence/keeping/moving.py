"""All rows from one database into another of any kind, compared afterwards."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import LargeBinary, Row, Select, Table, select, type_coerce
from sqlalchemy.engine import Connection
from sqlalchemy.exc import DBAPIError

from trainer.domain.errors import Problem, TrainerError
from trainer.persistence.database import Database
from trainer.persistence.keeping.bulk import take_figures, write
from trainer.persistence.keeping.emptiness import refuse_unless_empty
from trainer.persistence.schema import newest_version, upgrade, version
from trainer.persistence.tables import Base
from trainer.persistence.types import CompressedBytes

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


@dataclass(slots=True)
class Hashed:
    """Rows counted, and one hash over them that does not depend on their order: the sum of each row's SHA-256."""

    rows: int = 0
    _sum: int = 0

    def take(self, rows: Iterable[Row[Any]]) -> None:
        """Adds rows."""
        for row in rows:
            self.rows += 1
            text = json.dumps([_plain(value) for value in row], separators=(",", ":"))
            self._sum += int.from_bytes(hashlib.sha256(text.encode()).digest(), "big")

    @property
    def text(self) -> str:
        """The hash in hexadecimal digits."""
        return f"{self._sum % _HASHES:064x}"


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
        # Hashed as they are read to be written; what is there is read back once all is written.
        read = {table: _fill(old, new, table, progress) for table in Base.metadata.sorted_tables}
        moved = tuple(_compared(table, here, hash_of(new, table)) for table, here in read.items())
        differing = [Problem(path=each.table, problem="is not the same there") for each in moved if not each.equal]
        if differing:
            raise MoveError(*differing)
        take_figures(new)
    return moved


@contextmanager
def _still(source: Database) -> Iterator[Connection]:
    """A connection that sees one moment."""
    with source.writing() as session:
        connection = session.connection()
        if source.kind == "postgresql":
            connection.exec_driver_sql("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
        yield connection


def _fill(old: Connection, new: Connection, table: Table, progress: Progress) -> Hashed:
    progress(table.name, 0)
    read = Hashed()
    for rows in _batches(old, table):
        read.take(rows)
        try:
            write(new, table, rows)
        except (DBAPIError, new.dialect.loaded_dbapi.Error, ValueError) as error:
            problem = f"a row cannot be kept there: {getattr(error, 'orig', error)}; nothing was moved"
            raise MoveError(Problem(path=table.name, problem=problem)) from error
        progress(table.name, len(rows))
    return read


def _compared(table: Table, here: Hashed, there: Hashed) -> Moved:
    return Moved(table=table.name, rows=here.rows, rows_there=there.rows, hash=here.text, hash_there=there.text)


def hash_of(connection: Connection, table: Table) -> Hashed:
    """The rows of a table as they are stored."""
    read = Hashed()
    for rows in _batches(connection, table):
        read.take(rows)
    return read


def _batches(connection: Connection, table: Table) -> Iterator[list[Row[Any]]]:
    with connection.execute(_as_stored(table), execution_options={"yield_per": _AT_ONCE}) as result:
        yield from (list(part) for part in result.partitions())


def _as_stored(table: Table) -> Select[Any]:
    """Packed contents stay packed: to unpack and pack a million of them would take longer than all the rest."""
    return select(
        *(type_coerce(each, LargeBinary) if isinstance(each.type, CompressedBytes) else each for each in table.columns)
    )


def _plain(value: object) -> object:
    if isinstance(value, bytes):
        return hashlib.sha256(value).hexdigest()
    return value.isoformat() if isinstance(value, datetime) else value
