"""Canonical JSON: the same value gives the same bytes on every machine, and so the same hash."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Final

from trainer.domain.validation.units import UNITS, Unit
from trainer.domain.validation.units import unit_of as unit_in_name

Json = None | bool | int | float | str | Sequence["Json"] | Mapping[str, "Json"]

_PLACES_WITHOUT_UNIT: Final = 6
_BY_SIGN: Final = {unit.sign: unit for unit in UNITS.values() if unit.sign}
# A whole number up to here is the same in every JSON reader.
_EXACT: Final = 2**53
# Most of what stands in a document; nothing is to be done for it.
_AS_THEY_ARE: Final = frozenset({str, int, bool, type(None)})
# What is written was copied by `rounded`, which a circle would have kept from ending: to look for one doubles the time.
_ENCODER: Final = json.JSONEncoder(
    ensure_ascii=False, allow_nan=False, sort_keys=True, separators=(",", ":"), check_circular=False
)


@lru_cache(maxsize=4096)
def unit_of(key: str) -> Unit | None:
    """The unit at the end of a key; the same few hundred keys stand in every document."""
    return unit_in_name(key)


def canonical_bytes(value: object) -> bytes:
    """UTF-8 JSON with sorted keys, separators ``,`` and ``:``, no NaN, and one newline at the end.

    A float is rounded by the unit of its key, or by a ``unit`` beside it; a whole one is
    written without a point. *Raises* ValueError for NaN and infinity, TypeError for what JSON
    cannot hold.
    """
    return _ENCODER.encode(rounded(value)).encode("utf-8") + b"\n"


def canonical_members(value: Mapping[str, object]) -> dict[str, str]:
    """The canonical text of each member of an object, for objects that are written with and without some of them."""
    return {name: _ENCODER.encode(item) for name, item in _mapping(value).items()}


def canonical_object(members: Mapping[str, str]) -> bytes:
    """The canonical bytes of the object that has these members."""
    inner = ",".join(f"{_ENCODER.encode(name)}:{members[name]}" for name in sorted(members))
    return f"{{{inner}}}\n".encode()


def content_hash(value: object) -> str:
    """The sha256 of the canonical bytes, in hexadecimal digits."""
    return hashlib.sha256(canonical_bytes(value)).hexdigest()


def rounded(value: object, places: int = _PLACES_WITHOUT_UNIT) -> object:
    """A copy with every float rounded by its unit."""
    kind = type(value)
    if kind in _AS_THEY_ARE:
        return value
    if isinstance(value, float):
        return _number(value, places)
    # A dict is a Mapping too, but to ask for the narrower one takes a tenth of the time.
    if isinstance(value, dict) or isinstance(value, Mapping):  # noqa: SIM101
        return _mapping(value)
    if isinstance(value, list | tuple):
        return [rounded(item, places) for item in value]
    if isinstance(value, set | frozenset):
        return sorted(str(item) for item in value)
    return value


def _mapping(value: Mapping[str, object]) -> dict[str, object]:
    beside = _BY_SIGN.get(str(value.get("unit")))
    result: dict[str, object] = {}
    for key, item in value.items():
        if not isinstance(key, str):
            raise TypeError(f"a JSON key must be text, not {key!r}")
        if type(item) in _AS_THEY_ARE:
            result[str(key)] = item
            continue
        unit = unit_of(key) or beside
        result[str(key)] = rounded(item, unit.places if unit is not None else _PLACES_WITHOUT_UNIT)
    return result


def _number(value: float, places: int) -> float | int:
    if not math.isfinite(value):
        raise ValueError(f"JSON has no number {value}")
    short = round(value, places)
    return int(short) if short.is_integer() and abs(short) < _EXACT else short
