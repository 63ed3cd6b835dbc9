"""Published tables read by number: exact rows, and the row that is safe for a value in between."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable
from typing import Concatenate, ParamSpec, TypeVar

from trainer.domain.limits import Limits
from trainer.domain.limits.loading import Table

Key = tuple[str | float, ...]
Words = ParamSpec("Words")
Value = TypeVar("Value")


class Lookup:
    """One table with its keys as floats where they are numbers.

    Words stay as they are, and equal the StrEnum members that spell them.
    """

    __slots__ = ("_columns", "rows", "table")

    def __init__(self, table: Table) -> None:
        self.table = table
        self.rows: dict[Key, float] = {tuple(_number(part) for part in key): value for key, value in table.rows.items()}
        self._columns: dict[Key, tuple[list[float], list[float]]] = {}

    def at_or_above(self, value: float, *prefix: str | float) -> float | None:
        """The value of the first row whose last key is not below ``value``; None above the last row.

        The safe side where the table falls as its key rises.
        """
        keys, values = self.column(*prefix)
        place = bisect_left(keys, round(value, 6))
        return values[place] if place < len(keys) else None

    def column(self, *prefix: str | float) -> tuple[list[float], list[float]]:
        """Last keys in rising order, and their values, of the rows whose keys start with ``prefix``."""
        column = self._columns.get(prefix)
        if column is None:
            column = self._columns[prefix] = self._sorted(prefix)
        return column

    def _sorted(self, prefix: Key) -> tuple[list[float], list[float]]:
        size = len(prefix)
        rows = sorted((float(key[-1]), value) for key, value in self.rows.items() if key[:size] == prefix)
        return [key for key, _ in rows], [value for _, value in rows]


_LOOKUPS: dict[int, Lookup] = {}


def lookup(table: Table) -> Lookup:
    """The table's Lookup, made once for each table."""
    known = _LOOKUPS.get(id(table))
    if known is None or known.table is not table:
        known = _LOOKUPS[id(table)] = Lookup(table)
    return known


_MOST_REMEMBERED = 4096
"""Values of one calculation that are kept: far more than the tables hold, yet bounded."""


def remembered(
    compute: Callable[Concatenate[Limits, Words], Value],
) -> Callable[Concatenate[Limits, Words], Value]:
    """The same calculation, done once for each set of limits and each row of words and numbers.

    For calculations that read tables and nothing else. The limits are held beside their values, so
    that no other limits can take over their place.
    """
    known: dict[int, tuple[Limits, dict[object, Value]]] = {}

    def asked(limits: Limits, /, *words: Words.args, **named: Words.kwargs) -> Value:
        try:
            return known[id(limits)][1][words]
        except KeyError:
            _, values = known.setdefault(id(limits), (limits, {}))
        if len(values) >= _MOST_REMEMBERED:
            values.clear()
        value = values[words] = compute(limits, *words, **named)
        return value

    return asked


def _number(part: str) -> str | float:
    try:
        return float(part)
    except ValueError:
        return part
