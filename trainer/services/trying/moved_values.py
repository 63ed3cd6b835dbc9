"""One value of an installation moved by its path, typed as its record holds it."""

from __future__ import annotations

import types
from collections.abc import Iterator, Mapping
from dataclasses import is_dataclass
from enum import StrEnum
from typing import Any, Union, get_args, get_origin, get_type_hints

from trainer.domain.answers.decisions import Edit, apply_edits
from trainer.domain.errors import InstallationError, Problem
from trainer.domain.installation import Installation

NOT_STATED = "not stated"
"""Stands in data for a fact that the record leaves out."""

_NOTICES = "notices"


def moved(house: Installation, path: str, value: object) -> Installation:
    """The installation with another value at a path. *Raises* InstallationError.

    ``notices.<name>`` is true or false; words become members of their closed list; ``not stated``
    takes the fact out.
    """
    if path.startswith(f"{_NOTICES}."):
        name = path.partition(".")[2]
        others = house.notices - {name}
        return apply_edits(house, [Edit(path=_NOTICES, value=others | {name} if value else others)])
    try:
        return apply_edits(house, [Edit(path=path, value=typed(house, path, value))])
    except (AttributeError, KeyError, TypeError, ValueError) as error:
        raise InstallationError(Problem(path=path, value=str(value), problem=f"cannot be set: {error}")) from error


def with_settings(house: Installation, settings: Mapping[str, Any]) -> Installation:
    """The installation with several values set, one after the other. *Raises* InstallationError."""
    for path, value in settings.items():
        house = moved(house, path, value)
    return house


def value_at(house: Installation, path: str) -> Any:
    """The value at a path; for a notice whether it is there. *Raises* KeyError, AttributeError."""
    if path.startswith(f"{_NOTICES}."):
        return path.partition(".")[2] in house.notices
    found: Any = house
    for part in path.split("."):
        found = found[part] if isinstance(found, Mapping) else getattr(found, part)
    return found


def typed(house: Installation, path: str, value: object) -> object:
    """The value as the attribute at the path holds it."""
    return _as_one_of(kinds_at(house, path), value)


def _as_one_of(hints: tuple[Any, ...], value: object) -> object:
    if value == NOT_STATED and types.NoneType in hints:
        return None
    for hint in hints:
        if isinstance(hint, type) and issubclass(hint, StrEnum):
            return hint(str(value))
        if is_dataclass(hint) and isinstance(hint, type) and isinstance(value, Mapping):
            kinds = get_type_hints(hint)
            return hint(**{name: _as_one_of(_members(kinds[name]), each) for name, each in value.items()})
    if isinstance(value, int) and not isinstance(value, bool) and float in hints:
        return float(value)
    if isinstance(value, float) and int in hints and float not in hints:
        return int(value)
    return value


def kinds_at(house: Installation, path: str) -> tuple[Any, ...]:
    """The kinds of value that the attribute at a path may hold."""
    holder, _, name = path.rpartition(".")
    record = value_at(house, holder) if holder else house
    return _members(get_type_hints(type(record))[name])


def _members(hint: Any) -> tuple[Any, ...]:
    union = get_origin(hint) in (Union, types.UnionType)
    return get_args(hint) if union else (hint,)


def every_value(house: Installation, path: str) -> Iterator[object]:
    """All values of a closed list or of a yes and no, with ``not stated`` where that is possible."""
    if path.startswith(f"{_NOTICES}."):
        yield from (True, False)
        return
    hints = kinds_at(house, path)
    for hint in hints:
        if hint is bool:
            yield from (True, False)
        elif isinstance(hint, type) and issubclass(hint, StrEnum):
            yield from (each.value for each in hint)
    if types.NoneType in hints:
        yield NOT_STATED
