"""The limits as something to read: each value and table with unit, rows, source and status."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from functools import cache

from trainer.domain.citations import Citation
from trainer.domain.errors import UnknownNameError, unknown
from trainer.domain.limits import Limit, Limits, Table, limits_for
from trainer.domain.limits.loading import plain
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition, RcdType

_UNIT_ENDING = re.compile(
    r"_(ma|ka|a|ohm|mohm|mm2|mm|m|ms|s|v|w|c|k|percent|year|deg|hz|k_m_per_w|per_k|milliohm_mm2_per_m)$"
)
_RANK, _LISTED = "rank of the type", "1 where listed"
_TITLES = {
    "residual.least_type_rank": "least type by front end",
    "residual.listed_standards": "product standards of residual current devices",
    "residual.additional_protection_ma": "rated residual operating current for additional protection, at most",
    "residual.leakage_share": "share of the rating for standing leakage",
    "residual.selectivity_ratio": "ratio of ratings for selectivity of residual current devices",
    "residual.stable_electrode_ohm": "electrode resistance that may be unstable above",
    "residual.detector_smooth_dc_ma": "smooth d.c. that a detector may let pass",
    "residual.type_b_smooth_dc_multiple": "smooth d.c. that a type B may let pass",
    "charger.direct_current_detection_ma": "threshold of direct current detection, at most",
    "charger.open_pen_voltage_v": "voltage of the earthing terminal with an open PEN, at most",
    "charger.highest_voltage_factor": "highest supply voltage",
    "charger.open_pen_disconnects_within_s": "time to disconnect on an open PEN, at most",
    "charger.electrode_ohm": "resistance of an additional electrode, at most",
    "charger.base_load_per_line_a": "base load of a line when little is on",
    "earthing.touch_voltage_v": "touch voltage, at most",
    "earthing.protective_conductor_table_mm2": "protective conductor by the line conductor (Table 54.7)",
    "overcurrent.minimum_voltage_factor": "lowest supply voltage, Cmin",
    "overcurrent.selectivity_ratio": "ratio of ratings for selectivity of overcurrent devices",
    "overcurrent.rewirable_factor": "factor for a rewirable fuse",
    "overcurrent.ring_device_a": "device of a ring final circuit, at most",
    "overcurrent.ring_cable_a": "cable of a ring final circuit, at least",
    "overcurrent.ring_conductor_mm2": "conductors of a ring final circuit, at least",
    "residual.pitch_device_share": "overcurrent device of a pitch outlet, at most",
    "overcurrent.scope_with_socket_outlets_a": "scope of the shorter time, circuits with socket-outlets",
    "overcurrent.scope_fixed_equipment_a": "scope of the shorter time, fixed equipment",
    "devices.core": "teaching model of the core",
    "devices.faults": "simulated faults",
    "sources.string_fuse": "string fuse as a multiple of the short-circuit current",
    "verification.measured_impedance_share": "share of the table that a cold reading may reach",
}
_RANKS = {each.rank: each.value for each in RcdType}


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One value with the texts that lead to it, and its own citation."""

    keys: tuple[str, ...]
    value: str
    citation: Citation


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitTable:
    """One limit, whole: a single value, several by name, or a published table.

    ``citation`` is that of all rows, or None where they differ. ``columns`` name the keys.
    """

    path: str
    title: str
    unit: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    citation: Citation | None

    @property
    def group(self) -> str:
        """The group of limits to which it belongs."""
        return self.path.partition(".")[0]

    @property
    def citations(self) -> tuple[Citation, ...]:
        """The citations of the rows, each once, in their order."""
        return tuple(dict.fromkeys(row.citation for row in self.rows))


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """A table laid out: the names of its key columns, its value columns, and a line for each row.

    A line holds the texts of the keys, then for each value column the value, or nothing.
    """

    keys: tuple[str, ...]
    columns: tuple[str, ...]
    lines: tuple[tuple[tuple[str, ...], tuple[str, ...]], ...]


def grid_of(table: LimitTable) -> Grid:
    """The table with the key of fewest values across, where that makes it shorter; else as it is."""
    across = _across(table)
    if across is None:
        lines = tuple((row.keys, (row.value,)) for row in table.rows)
        return Grid(keys=table.columns, columns=("",), lines=lines)
    columns = tuple(dict.fromkeys(row.keys[across] for row in table.rows))
    cells: dict[tuple[str, ...], dict[str, str]] = {}
    for row in table.rows:
        rest = (*row.keys[:across], *row.keys[across + 1 :])
        cells.setdefault(rest, {})[row.keys[across]] = row.value
    name = table.columns[across]
    return Grid(
        keys=(*table.columns[:across], *table.columns[across + 1 :]),
        columns=tuple(f"{name} {column}" for column in columns),
        lines=tuple((rest, tuple(found.get(column, "") for column in columns)) for rest, found in cells.items()),
    )


def _across(table: LimitTable) -> int | None:
    """The place of the key to lay across: two to four values, the fewest; None where there is none."""
    if table.citation is None or len(table.columns) < _TWO:
        return None
    counts = [len({row.keys[place] for row in table.rows}) for place in range(len(table.columns))]
    fitting = [place for place, count in enumerate(counts) if _TWO <= count <= _MOST_ACROSS]
    return min(fitting, key=lambda place: counts[place], default=None)


_TWO, _MOST_ACROSS = 2, 4


@cache
def limit_tables(edition: Edition = DEFAULT_EDITION) -> Mapping[str, LimitTable]:
    """All limits of an edition by their path, such as ``earthing.touch_voltage_v``."""
    limits = limits_for(edition)
    found: dict[str, LimitTable] = {}
    for group, name, value in _fields(limits):
        path = f"{group}.{name}"
        found[path] = _table(path, name, value)
    return found


def limit_table(path: str, edition: Edition = DEFAULT_EDITION) -> LimitTable:
    """The limit at a path. *Raises* UnknownNameError."""
    found = limit_tables(edition).get(path)
    if found is None:
        raise UnknownNameError(unknown("limit", path, limit_tables(edition), "limit"))
    return found


def _fields(limits: Limits) -> Iterator[tuple[str, str, object]]:
    for group in fields(limits):
        if group.name != "edition":
            holder = getattr(limits, group.name)
            for each in fields(holder):
                yield group.name, each.name, getattr(holder, each.name)


def _table(path: str, name: str, value: object) -> LimitTable:
    if isinstance(value, Table):
        rows = tuple(
            Row(keys=tuple(_key(part) for part in key), value=plain(each), citation=value.citation)
            for key, each in value.rows.items()
        )
        columns = tuple(_column(key) for key in value.keys)
        return _made(path, value.name, value.unit, columns, rows)
    if isinstance(value, Limit):
        return _made(path, _TITLES.get(path, words(name)), value.unit, (), (_row((), value),))
    title = _TITLES.get(path, words(name))
    if isinstance(value, Mapping):
        rows = tuple(_row((words(key),), each) for key, each in value.items())
        units = {each.unit for each in value.values()}
        return _made(path, title, units.pop() if len(units) == 1 else "", ("for",), rows)
    raise TypeError(f"{path}: neither a value nor a table")


def _made(path: str, title: str, unit: str, columns: tuple[str, ...], rows: tuple[Row, ...]) -> LimitTable:
    citations = {row.citation for row in rows}
    unit = "" if unit in (_RANK, _LISTED) else unit
    common = citations.pop() if len(citations) == 1 else None
    return LimitTable(path=path, title=title, unit=unit, columns=columns, rows=rows, citation=common)


def _row(keys: tuple[str, ...], limit: Limit) -> Row:
    return Row(keys=keys, value=_value_text(limit), citation=limit.citation)


def _value_text(limit: Limit) -> str:
    if limit.unit == _RANK:
        return _RANKS[int(limit.value)]
    return "listed" if limit.unit == _LISTED else plain(limit.value)


def _key(part: str) -> str:
    """The text of a key; the last row of a table that has no upper end says so."""
    return "more" if part == "inf" else part.replace("_", " ")


def _column(name: str) -> str:
    """The name of a key as words, with its unit in brackets."""
    unit = _UNIT_ENDING.search(name)
    return words(name) if unit is None else f"{words(name)} ({_SIGNS.get(unit[1], unit[1])})"


_SIGNS = {"a": "A", "ma": "mA", "ka": "kA", "v": "V", "mm2": "mm²", "c": "°C", "deg": "°", "k_m_per_w": "K m/W"}


def words(name: str) -> str:
    """The name of a field without its unit, as words."""
    return _UNIT_ENDING.sub("", name).replace("_", " ")
