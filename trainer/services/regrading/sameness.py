"""Whether two values are the very same: equal, and of the same type in every part."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any


def same(one: Any, other: Any) -> bool:
    """True when nothing that reads the two could tell them apart: 1 is not 1.0, and a word is not a type of device.

    The order of mappings counts; what a record leaves out of comparison does not.
    """
    if one is other:
        return True
    kind: Any = type(one)
    if kind is not type(other):
        return False
    if is_dataclass(one):
        return all(same(getattr(one, name), getattr(other, name)) for name in _compared(kind))
    if isinstance(one, Mapping):
        return list(one) == list(other) and all(same(value, other[key]) for key, value in one.items())
    if isinstance(one, tuple):
        return len(one) == len(other) and all(same(each, its) for each, its in zip(one, other, strict=True))
    return bool(one == other)


_COMPARED: dict[Any, tuple[str, ...]] = {}


def _compared(kind: Any) -> tuple[str, ...]:
    """The parts of a kind of record that count when two are compared."""
    known = _COMPARED.get(kind)
    if known is None:
        known = _COMPARED[kind] = tuple(each.name for each in fields(kind) if each.compare)
    return known
