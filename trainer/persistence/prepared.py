"""Statements that nearly every request asks: worked out once, then run by the driver itself.

For each execution SQLAlchemy makes a connection, a context and a result of its own: of a short statement that
was two to three parts of four. What it says, the order of its values and the types of what comes back never
change, so they are taken from SQLAlchemy once.

*Source* PEP 249 (cursors of a driver); docs.sqlalchemy.org, "Working with Driver SQL and Raw DBAPI Connections".
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Engine
from sqlalchemy.engine import Dialect
from sqlalchemy.engine.interfaces import DBAPIConnection, DBAPICursor
from sqlalchemy.exc import DBAPIError

Row = Sequence[Any]
_Turn = Callable[[Any], Any]


class Prepared:
    """A select, or a change that returns something, whose values are named by bound parameters."""

    def __init__(self, statement: Any) -> None:
        self._statement = statement
        self._worded: dict[str, _Worded] = {}

    def worded(self, dialect: Dialect) -> _Worded:
        """The statement as a driver takes it."""
        known = self._worded.get(dialect.name)
        if known is None:
            known = self._worded[dialect.name] = _worded(self._statement, dialect)
        return known


class Driven:
    """A connection of the driver, lent for a block."""

    __slots__ = ("_dialect", "connection")

    def __init__(self, connection: DBAPIConnection, dialect: Dialect) -> None:
        self.connection = connection
        self._dialect = dialect

    def run(self, text: str, values: Any = ()) -> DBAPICursor:
        """Runs what is said in the words of the driver."""
        cursor = self.connection.cursor()
        cursor.execute(text, values)
        return cursor

    def rows(self, prepared: Prepared, values: Mapping[str, Any]) -> list[Row]:
        """All rows that a statement gives."""
        worded = prepared.worded(self._dialect)
        found = self.run(worded.text, worded.filled(values)).fetchall()
        return worded.read(found) if worded.gives else [*found]

    def first(self, prepared: Prepared, values: Mapping[str, Any]) -> Row | None:
        """The first of them, or None where there is none."""
        found = self.rows(prepared, values)
        return found[0] if found else None


@contextmanager
def driven(engine: Engine) -> Iterator[Driven]:
    """A connection out of those of an engine. *Raises* DBAPIError for what its driver raises, as SQLAlchemy does."""
    dialect, is_lost = engine.dialect, False
    failure: type[Exception] = dialect.loaded_dbapi.Error
    try:
        lent = engine.raw_connection()
        try:
            yield Driven(lent.dbapi_connection, dialect)  # type: ignore[arg-type]  # it was lent just now
        except failure as error:
            is_lost = dialect.is_disconnect(error, lent.dbapi_connection, None)  # type: ignore[arg-type]
            if is_lost:
                lent.invalidate(error)
                # The others lead to the same server.
                engine.dispose()
            raise
        finally:
            lent.close()
    except failure as error:
        raise DBAPIError.instance(
            None, None, error, failure, connection_invalidated=is_lost, dialect=dialect
        ) from error


@dataclass(frozen=True, slots=True, kw_only=True)
class _Worded:
    """A statement in the words of a driver, and what turns its values for the database and back."""

    text: str
    # In the order in which the driver takes them: the name, and what turns the value.
    takes: tuple[tuple[str, _Turn | None], ...]
    # Values that stand in the statement itself.
    fixed: Mapping[str, Any]
    is_by_name: bool
    # By place in the row, only columns of which something is turned.
    gives: tuple[tuple[int, _Turn], ...]

    def filled(self, values: Mapping[str, Any]) -> Any:
        """Values by their names as the driver takes them. *Raises* KeyError for one that is missing."""
        known = {**self.fixed, **values}
        if self.is_by_name:
            return {name: known[name] if turn is None else turn(known[name]) for name, turn in self.takes}
        return [known[name] if turn is None else turn(known[name]) for name, turn in self.takes]

    def read(self, rows: Sequence[Row]) -> list[Row]:
        """Rows of the driver with values as the program knows them."""
        read: list[Row] = []
        for row in rows:
            values = list(row)
            for place, turn in self.gives:
                values[place] = turn(values[place])
            read.append(values)
        return read


def _worded(statement: Any, dialect: Dialect) -> _Worded:
    compiled = statement.compile(dialect=dialect)
    binds = {name: bind for bind, name in compiled.bind_names.items()}
    turns = {name: bind.type.dialect_impl(dialect).bind_processor(dialect) for name, bind in binds.items()}
    given = [column.type.dialect_impl(dialect).result_processor(dialect, None) for column in statement.exported_columns]
    return _Worded(
        text=str(compiled),
        takes=tuple((name, turns[name]) for name in compiled.positiontup or binds),
        fixed={name: bind.effective_value for name, bind in binds.items() if not bind.required},
        is_by_name=compiled.positiontup is None,
        gives=tuple((place, turn) for place, turn in enumerate(given) if turn is not None),
    )
