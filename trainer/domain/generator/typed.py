"""Facts of a data file checked against the records that they describe."""

from __future__ import annotations

import dataclasses
import types
from collections.abc import Iterator, Mapping
from enum import StrEnum
from functools import cache
from typing import Any, Union, get_args, get_origin, get_type_hints

from trainer.domain.errors import Problem, unknown
from trainer.domain.generator.data import Facts
from trainer.domain.generator.specs import OneOf, read_spec

UNTOLD = "not told"
"""The word by which a data file says that a fact is known to nobody."""


@cache
def hints(record: type) -> Mapping[str, Any]:
    """The resolved type hints of a record."""
    return get_type_hints(record)


def plain_type(hint: Any) -> Any:
    """The type of a hint without None."""
    if get_origin(hint) in (Union, types.UnionType):
        return next(each for each in get_args(hint) if each is not type(None))
    return hint


def read_facts(raw: Mapping[str, Any], record: type, path: str, problems: list[Problem]) -> Facts:
    """Every fact of a table, nested records by dotted path, its values in the record's own types."""
    return tuple(_facts(raw, record, path, "", problems))


def _facts(
    raw: Mapping[str, Any], record: type, path: str, prefix: str, problems: list[Problem]
) -> Iterator[tuple[str, Any]]:
    for name, value in raw.items():
        place = f"{path}.{name}"
        if name not in hints(record):
            problems.append(unknown(place, name, hints(record), f"attribute of {record.__name__}"))
            continue
        kind = plain_type(hints(record)[name])
        if dataclasses.is_dataclass(kind) and isinstance(kind, type):
            yield from _facts(value, kind, place, f"{prefix}{name}.", problems)
            continue
        spec = read_spec(value, place, problems)
        if isinstance(spec, OneOf):
            spec = OneOf(tuple(typed(kind, each, place, problems) for each in spec.values), spec.weights)
        elif kind not in (float, int):
            problems.append(Problem(path=place, problem=f"a range needs a number, this is a {kind.__name__}"))
        yield f"{prefix}{name}", spec


def typed(kind: Any, value: Any, path: str, problems: list[Problem]) -> Any:
    """A plain value in the type of its attribute; a problem is noted where it does not fit."""
    if value == UNTOLD or value is None:
        return None
    if isinstance(kind, type) and issubclass(kind, StrEnum):
        words = [word.value for word in kind]
        if value in words:
            return kind(value)
        problems.append(unknown(path, str(value), words, "word"))
        return None
    if isinstance(value, bool) is not (kind is bool) or not isinstance(value, _ACCEPTED.get(kind, kind)):
        problems.append(Problem(path=path, value=str(value), problem=f"must be a {kind.__name__}"))
        return None
    return float(value) if kind is float else value


_ACCEPTED: dict[Any, tuple[type, ...]] = {float: (int, float)}


def build(record: type, values: Mapping[str, Any]) -> Any:
    """A record from values by dotted path; nested records appear where they have a value."""
    nested: dict[str, dict[str, Any]] = {}
    own: dict[str, Any] = {}
    for path, value in values.items():
        name, dot, rest = path.partition(".")
        if dot:
            nested.setdefault(name, {})[rest] = value
        else:
            own[name] = value
    for name, inner in nested.items():
        own[name] = build(plain_type(hints(record)[name]), inner)
    return record(**own)
