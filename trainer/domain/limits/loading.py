"""Reads the limits of this folder into typed groups, once, at import."""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, fields
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any, TypeVar, get_type_hints

from trainer.domain.citations import Citation, Status
from trainer.domain.vocabulary import Edition


class LimitDataError(Exception):
    """A file of limits that is incomplete or malformed: a fault of the program, not of a user."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A value with its unit and its citation."""

    value: float
    unit: str
    citation: Citation


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A published table: rows by key columns, one unit and one citation for all of its values.

    ``rows`` maps a tuple of the key columns' texts to the value.
    """

    name: str
    keys: tuple[str, ...]
    unit: str
    citation: Citation
    rows: Mapping[tuple[str, ...], float]

    def get(self, *key: object) -> float | None:
        """The value for a key, or None where the table has none. Numbers are written plainly."""
        return self.rows.get(tuple(plain(part) for part in key))

    def column(self, *prefix: object) -> dict[str, float]:
        """All values whose key starts with ``prefix``, by the last part of the key."""
        start = tuple(plain(part) for part in prefix)
        size = len(start)
        return {key[-1]: value for key, value in self.rows.items() if key[:size] == start}


def plain(part: object) -> str:
    """A key as it stands in the files: 32 for 32.0, B for Curve.B, 2.5 for 2.5."""
    if isinstance(part, float):
        return f"{part:g}"
    return str(part)


def _data(name: str) -> str:
    return resources.files("trainer.domain.limits").joinpath("data", name).read_text("utf-8")


def _citation(entry: Mapping[str, Any], where: str) -> Citation:
    try:
        return Citation(
            publication=entry["publication"],
            clause=str(entry["clause"]),
            status=Status(entry["status"]),
            edition=entry.get("seen_in"),
            checked_on=entry.get("checked_on"),
            note=entry.get("note", ""),
        )
    except (KeyError, ValueError) as error:
        raise LimitDataError(f"{where}: citation lacks or misspells {error}") from error


def _limit(entry: Mapping[str, Any], where: str) -> Limit:
    if "value" not in entry or "unit" not in entry:
        raise LimitDataError(f"{where}: needs value and unit")
    return Limit(value=float(entry["value"]), unit=entry["unit"], citation=_citation(entry, where))


@cache
def read_toml(name: str) -> Mapping[str, Any]:
    """The parsed content of one TOML file of the data folder."""
    return tomllib.loads(_data(name))


@cache
def read_table(name: str) -> Table:
    """One CSV file: lines ``# key: value`` for the citation, a header, then the rows.

    The last column is the value, the others are the key.
    """
    head: dict[str, str] = {}
    body: list[str] = []
    for line in _data(name).splitlines():
        if line.startswith("#"):
            key, _, text = line[1:].partition(":")
            head[key.strip()] = text.strip()
        elif line.strip():
            body.append(line)
    reader = csv.reader(body)
    columns = tuple(next(reader))
    rows = {tuple(row[:-1]): float(row[-1]) for row in reader}
    citation = _citation({**head, "clause": head.get("table", head.get("clause"))}, name)
    return Table(
        name=head.get("name", name),
        keys=columns[:-1],
        unit=head["unit"],
        citation=citation,
        rows=MappingProxyType(rows),
    )


Group = TypeVar("Group")


def load_group(group: type[Group], name: str, edition: Edition) -> Group:
    """Fill a dataclass of limits from ``name``.toml and from the tables that it names.

    A field of type Limit takes the entry of its name, Mapping[str, Limit] takes a table of
    entries, Table takes ``{ file = "....csv" }``. An entry with ``editions`` counts in those
    only; ``[name.in."A2:2022"]`` overrides keys for one edition.
    *Raises* LimitDataError when a field has no entry or an entry has no field.
    """
    entries = read_toml(f"{name}.toml")
    hints = get_type_hints(group)
    values: dict[str, object] = {}
    for field in fields(group):  # type: ignore[arg-type]
        where = f"{name}.toml: {field.name}"
        if field.name not in entries:
            raise LimitDataError(f"{where}: missing")
        values[field.name] = _value(entries[field.name], hints[field.name], where, edition)
    surplus = set(entries) - set(values)
    if surplus:
        raise LimitDataError(f"{name}.toml: no field for {sorted(surplus)}")
    return group(**values)


def _value(entry: Mapping[str, Any], hint: object, where: str, edition: Edition) -> object:
    if hint is Table:
        return read_table(entry["file"])
    override = entry.get("in", {}).get(edition.value, {})
    merged = {key: value for key, value in {**entry, **override}.items() if key != "in"}
    if hint is Limit:
        return _limit(merged, where)
    common = {key: value for key, value in merged.items() if not isinstance(value, Mapping)}
    return MappingProxyType(
        {key: _limit({**common, **part}, f"{where}.{key}") for key, part in merged.items() if isinstance(part, Mapping)}
    )
