"""The values of an installation that can be moved: where each stands, its unit, what it can be."""

from __future__ import annotations

import dataclasses
import types
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from enum import StrEnum
from functools import cache
from typing import Any, Union, get_args, get_origin, get_type_hints

from trainer.domain.answers.decisions import Edit, apply_edits
from trainer.domain.cables import Cable
from trainer.domain.errors import Problem, UnknownNameError
from trainer.domain.installation import Installation
from trainer.domain.validation.cable_tables import methods, sizes_mm2
from trainer.domain.validation.keywords import KEYWORDS, NOTICES
from trainer.domain.validation.plausible import Range, range_of
from trainer.domain.validation.units import unit_of
from trainer.services.trying import moved_values

Value = float | str | bool | None

LEFT_OUT = "left_out"
"""The word for a value that is not stated."""

_NAMES = frozenset({"id", "label", "title", "fed_by", "board", "circuit"})
_YES_NO = ("yes", "no")
_CLOSEST = 8


class Kind(StrEnum):
    """What a value is made of."""

    NUMBER = "number"
    WHOLE = "whole"
    WORD = "word"
    YES_NO = "yes_no"


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """One value that can be moved. ``decimals`` is how finely a number is told apart, by its unit.

    ``choices`` lists all that a word can be, and for a number that stands in a table its rows.
    """

    path: str
    kind: Kind
    value: Value
    unit: str = ""
    decimals: int = 0
    optional: bool = False
    choices: tuple[str, ...] = ()
    plausible: Range | None = None

    @property
    def is_number(self) -> bool:
        """True for a number, whole or not."""
        return self.kind in (Kind.NUMBER, Kind.WHOLE)


def places(house: Installation) -> tuple[Place, ...]:
    """Every value that can be moved, in the order of the file."""
    return tuple(_of_house(house))


def place_of(house: Installation, path: str) -> Place:
    """The place of that path. *Raises* UnknownNameError with the nearest."""
    known = {each.path: each for each in places(house)}
    if path in known:
        return known[path]
    near = get_close_matches(path, known, n=_CLOSEST, cutoff=0.4)
    within = tuple(each for each in known if each.startswith(f"{path}."))[:_CLOSEST]
    problem = "names no value of this installation that can be moved"
    raise UnknownNameError(
        Problem(
            path="vary",
            value=path[:120],
            problem=f"{problem}; it names a record, of which one value can be moved" if within else problem,
            possible=within or tuple(near),
            nearest=None if within or not near else near[0],
        )
    )


def put(house: Installation, place: Place, value: Value) -> Installation:
    """The installation with another value at the place; it is not validated."""
    head, _, rest = place.path.partition(".")
    if head == "notices":
        there = house.notices | {rest} if value else house.notices - {rest}
        return apply_edits(house, [Edit(path="notices", value=frozenset(there))])
    return apply_edits(house, [Edit(path=place.path, value=value)])


def shown(place: Place, value: Value) -> str:
    """A value as it is written for this place."""
    if value is None:
        return LEFT_OUT
    if isinstance(value, bool):
        return _YES_NO[0] if value else _YES_NO[1]
    if isinstance(value, int | float):
        text = f"{value:.{place.decimals}f}"
        return text.rstrip("0").rstrip(".") if "." in text else text
    return str(value)


def _of_house(house: Installation) -> Iterator[Place]:
    for field in dataclasses.fields(house):
        if not field.init:
            continue
        value = getattr(house, field.name)
        if isinstance(value, Mapping):
            for key, record in value.items():
                yield from _of_record(record, f"{field.name}.{key}")
        elif field.name == "notices":
            for name in NOTICES:
                yield Place(path=f"notices.{name}", kind=Kind.YES_NO, value=name in house.notices, choices=_YES_NO)
        elif dataclasses.is_dataclass(value):
            yield from _of_record(value, field.name)
        else:
            yield from _of_field(house, field.name, value, field.name)


def _of_record(record: Any, path: str) -> Iterator[Place]:
    for field in dataclasses.fields(record):
        value = getattr(record, field.name)
        if dataclasses.is_dataclass(value):
            yield from _of_record(value, f"{path}.{field.name}")
        elif field.name not in _NAMES:
            yield from _of_field(record, field.name, value, f"{path}.{field.name}")


def _of_field(record: Any, name: str, value: Any, path: str) -> Iterator[Place]:
    kind, optional = _kind(_hints_of(record)[name])
    if kind is bool:
        yield Place(path=path, kind=Kind.YES_NO, value=value, optional=optional, choices=_YES_NO)
    elif kind in (float, int):
        yield _number(record, name, value, path, whole=kind is int, optional=optional)
    elif isinstance(kind, type) and issubclass(kind, str):
        words = _words(record, name, kind)
        if words:
            yield Place(path=path, kind=Kind.WORD, value=value, optional=optional, choices=words)


def _number(record: Any, name: str, value: float | None, path: str, *, whole: bool, optional: bool) -> Place:
    unit = unit_of(name)
    table = sizes_mm2(record.type, record.reference_method) if isinstance(record, Cable) and _is_size(name) else ()
    return Place(
        path=path,
        kind=Kind.WHOLE if whole else Kind.NUMBER,
        value=value,
        unit="" if unit is None else unit.sign,
        decimals=0 if whole else 3 if unit is None else unit.places,
        optional=optional,
        choices=tuple(f"{size:g}" for size in table),
        plausible=range_of(name),
    )


def _is_size(name: str) -> bool:
    return name in ("cross_section_mm2", "protective_conductor_mm2")


def _words(record: Any, name: str, kind: type[str]) -> tuple[str, ...]:
    """The closed list that a text is taken from; empty where it is free."""
    if issubclass(kind, StrEnum):
        return tuple(word.value for word in kind)
    if isinstance(record, Cable) and name == "reference_method":
        return methods(record.type)
    return tuple(str(word) for word in KEYWORDS.get((type(record).__name__, name), ()))


def _hints_of(record: object) -> Mapping[str, Any]:
    kind: type = record.__class__
    return _hints(kind)


@cache
def _hints(kind: type) -> Mapping[str, Any]:
    return get_type_hints(kind)


def _kind(hint: Any) -> tuple[Any, bool]:
    """The type of a value, and whether it may be left out."""
    if get_origin(hint) in (Union, types.UnionType):
        inner = [each for each in get_args(hint) if each is not type(None)]
        return inner[0], len(inner) < len(get_args(hint))
    return hint, False


def typed(house: Installation, place: Place, word: str) -> Value:
    """The value that a word of the place's list stands for, as its record holds it."""
    if word == LEFT_OUT:
        return None
    if place.kind is Kind.YES_NO:
        return word == _YES_NO[0]
    if place.path.startswith("notices."):
        return word
    made = moved_values.typed(house, place.path, word)
    if not isinstance(made, str):
        raise TypeError(f"{place.path} takes no word")
    return made
