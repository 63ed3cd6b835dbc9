"""Very many rows into an empty database in one transaction, as the database itself stores them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import Any, cast

from sqlalchemy import Table, literal, select
from sqlalchemy.engine import Connection

from trainer.domain.errors import Problem
from trainer.persistence.database import Database
from trainer.persistence.keeping.emptiness import NotEmptyError
from trainer.persistence.tables import Base
from trainer.persistence.types import UtcDateTime

Row = Sequence[Any]
"""The values of a row in the order of its columns; times with a zone, packed contents packed already."""

_HELD = 20_000
# Pages of the file kept in memory while indexes grow at random places, in KiB.
_SQLITE_CACHE_KIB = 400_000


class Bulk:
    """Takes rows in any order of tables and writes them in the order in which they refer to each other."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._waiting: dict[str, list[Row]] = {table.name: [] for table in Base.metadata.sorted_tables}
        self._held = 0

    def put(self, table: str, rows: Iterable[Row]) -> None:
        """Takes rows of a table; what they refer to was put before, or is put with them."""
        waiting = self._waiting[table]
        before = len(waiting)
        waiting.extend(rows)
        self._held += len(waiting) - before

    def settle(self) -> None:
        """A moment at which every reference is complete; writes once enough is waiting."""
        if self._held >= _HELD:
            self.flush()

    def flush(self) -> None:
        """Writes all that is waiting."""
        for table in Base.metadata.sorted_tables:
            if rows := self._waiting[table.name]:
                write(self._connection, table, rows)
                rows.clear()
        self._held = 0


@contextmanager
def filling(database: Database) -> Iterator[Bulk]:
    """Fills a database whose tables are empty, in one transaction: all of it or nothing. *Raises* NotEmptyError."""
    with database.writing() as session:
        connection = session.connection()
        refuse_rows(database, connection)
        if database.kind == "sqlite":
            connection.exec_driver_sql(f"PRAGMA cache_size=-{_SQLITE_CACHE_KIB}")
        bulk = Bulk(connection)
        yield bulk
        bulk.flush()
        take_figures(connection)


def take_figures(connection: Connection) -> None:
    """Lets the database count what lies in its tables: filled at once, it would choose poor ways through them."""
    connection.exec_driver_sql("ANALYZE")


def refuse_rows(database: Database, connection: Connection | None = None) -> None:
    """Nothing where all tables are empty. *Raises* NotEmptyError."""
    if connection is None:
        with database.reading() as session:
            refuse_rows(database, session.connection())
        return
    for table in Base.metadata.sorted_tables:
        if connection.execute(select(literal(1)).select_from(table).limit(1)).first() is not None:
            problem = f"is not empty: there are rows in {table.name}; name an empty database, nothing was changed"
            raise NotEmptyError(Problem(path=str(database.address), problem=problem))


def write(connection: Connection, table: Table, rows: Sequence[Row]) -> None:
    """Puts rows into a table by the quickest way that the database has."""
    (_copy if connection.dialect.name == "postgresql" else _insert)(connection, table, rows)


def _insert(connection: Connection, table: Table, rows: Sequence[Row]) -> None:
    """As the driver stores it; the types of the tables would look at each value."""
    times = [place for place, column in enumerate(table.columns) if isinstance(column.type, UtcDateTime)]
    names = ", ".join(f'"{column.name}"' for column in table.columns)
    marks = ", ".join("?" * len(table.columns))
    statement = f"INSERT INTO {table.name} ({names}) VALUES ({marks})"  # noqa: S608 - names of our own tables
    connection.exec_driver_sql(statement, [_with_texts(row, times) for row in rows])


def _with_texts(row: Row, times: Sequence[int]) -> tuple[Any, ...]:
    values = list(row)
    for place in times:
        if (value := values[place]) is not None:
            values[place] = as_text(value)
    return tuple(values)


def as_text(value: datetime) -> str:
    """A time as it stands in SQLite."""
    return value.astimezone(UTC).replace(tzinfo=None).isoformat(" ", "microseconds")


def _copy(connection: Connection, table: Table, rows: Sequence[Row]) -> None:
    names = ", ".join(f'"{column.name}"' for column in table.columns)
    # psycopg's own cursor: SQLAlchemy has no word for COPY.
    cursor = cast("Any", connection.connection.cursor())
    with cursor, cursor.copy(f"COPY {table.name} ({names}) FROM STDIN") as copy:
        write: Callable[[Row], None] = copy.write_row
        for row in rows:
            write(row)
