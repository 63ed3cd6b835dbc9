"""Many rows as the text of a JSON list, column by column: one value after the other would take three times as long."""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from datetime import UTC, datetime
from json.encoder import encode_basestring
from typing import Any

from sqlalchemy import Column, ColumnElement, Connection, DateTime, Table, select, type_coerce

from trainer.persistence.types import CompressedBytes, UtcDateTime
from trainer.services.privacy.storage import Written

_JSON = "_json"
_NULL = "null"


def written(
    connection: Connection, columns: Mapping[str, Column[Any]], where: ColumnElement[bool], order: Iterable[Any]
) -> Written:
    """The rows of some columns, by the names to write, as JSON; what is stored as JSON goes in as it is."""
    names = sorted(columns)
    query = select(*(_asked(columns[name]) for name in names)).where(where).order_by(*order)
    rows = connection.execute(query).all()
    if not rows:
        return Written(text="[]", number=0)
    texts = [_texts(columns[name], values) for name, values in zip(names, zip(*rows, strict=True), strict=True)]
    # A line for each value, for people who read it.
    row = "{" + ",\n".join(f'"{name}": %s' for name in names) + "}"
    return Written(text="[" + ",\n".join(map(row.__mod__, zip(*texts, strict=True))) + "]", number=len(rows))


def named(table: Table, leave: Collection[str]) -> Mapping[str, Column[Any]]:
    """The columns of a table but some, by the names to write: what holds JSON is called by what it holds."""
    return {each.name.removesuffix(_JSON): each for each in table.columns if each.name not in leave}


def _asked(column: Column[Any]) -> Any:
    """Moments come as the driver gives them, without a step in between."""
    return type_coerce(column, DateTime(timezone=True)) if isinstance(column.type, UtcDateTime) else column


def _texts(column: Column[Any], values: Sequence[Any]) -> list[str]:
    say = _how(column)
    if not column.nullable:
        return list(map(say, values))
    return [_NULL if each is None else say(each) for each in values]


def _how(column: Column[Any]) -> Callable[[Any], str]:
    kind = column.type
    if column.name.endswith(_JSON):
        return _opened if isinstance(kind, CompressedBytes) else _as_it_is
    if isinstance(kind, UtcDateTime):
        return _moment
    python = kind.python_type
    if python is str:
        return encode_basestring
    return str if python is int else json.dumps


def _as_it_is(value: str) -> str:
    return value or _NULL


def _opened(value: bytes) -> str:
    return value.decode() or _NULL


def _moment(value: datetime) -> str:
    # SQLite gives back no zone, PostgreSQL that of the session.
    return f'"{(value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)).isoformat()}"'
