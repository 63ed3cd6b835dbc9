"""Rows of a database as they stand in it, picked by what they refer to."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sqlalchemy import LargeBinary, Table, select, type_coerce

from trainer.persistence.database import Database
from trainer.persistence.tables import Base
from trainer.persistence.types import CompressedBytes

Values = tuple[Any, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """Rows of one table, packed contents left packed."""

    table: str
    columns: tuple[str, ...]
    rows: tuple[Values, ...]
    places: Mapping[str, int] = field(default_factory=dict)

    def place(self, column: str) -> int:
        """The place of a column."""
        return self.places[column]

    def where(self, column: str, values: Collection[Any]) -> Rows:
        """Those that have one of the values."""
        place = self.places[column]
        return self._with(tuple(row for row in self.rows if row[place] in values))

    def but(self, column: str, values: Collection[Any]) -> Rows:
        """Those that have none of the values."""
        place = self.places[column]
        return self._with(tuple(row for row in self.rows if row[place] not in values))

    def all(self, column: str) -> tuple[Any, ...]:
        """The values of a column."""
        place = self.places[column]
        return tuple(row[place] for row in self.rows)

    def _with(self, rows: tuple[Values, ...]) -> Rows:
        return Rows(table=self.table, columns=self.columns, rows=rows, places=self.places)

    def __iter__(self) -> Iterator[Values]:
        return iter(self.rows)

    def __len__(self) -> int:
        return len(self.rows)


def rows_of(database: Database) -> dict[str, Rows]:
    """All rows of all tables."""
    with database.moment() as session:
        return {
            table.name: _made(table, tuple(tuple(row) for row in session.execute(select(*_raw(table)))))
            for table in Base.metadata.sorted_tables
        }


def _raw(table: Table) -> list[Any]:
    return [
        type_coerce(column, LargeBinary) if isinstance(column.type, CompressedBytes) else column
        for column in table.columns
    ]


def _made(table: Table, rows: tuple[Values, ...]) -> Rows:
    columns = tuple(column.name for column in table.columns)
    return Rows(table=table.name, columns=columns, rows=rows, places={name: at for at, name in enumerate(columns)})


def moved(row: Values, ids: Mapping[str, str], shift: Any) -> list[Any]:
    """A row with its ids replaced where they are known, and its times moved."""
    return [
        ids.get(value, value) if type(value) is str else value + shift if type(value) is datetime else value
        for value in row
    ]
