"""Numbers as people read them: rounded by unit, the unit beside them, never broken across lines."""

from __future__ import annotations

from functools import lru_cache

PLACES = {
    "mA": 2,
    "A": 2,
    "kA": 2,
    "ohm": 3,
    "Mohm": 2,
    "V": 1,
    "ms": 1,
    "s": 3,
    "m": 1,
    "mm": 1,
    "mm2": 2,
    "W": 0,
    "kW": 2,
    "kVA": 2,
    "%": 1,
    "1": 3,
    "1/K": 5,
    "deg C": 1,
    "A2s": 0,
    "modules": 1,
}
_SIGNS = {"ohm": "Ω", "Mohm": "MΩ", "mm2": "mm²", "A2s": "A²s", "deg": "°", "C": "°C", "deg C": "°C"}
_PURE = frozenset({"", "1"})
_COUNTED = frozenset({"modules", "circuits", "poles"})
_NO_BREAK = "\u00a0"
_MOST_PLACES = 6


def plain(value: float, places: int = 3) -> str:
    """The value with at most ``places`` decimals and no idle zeros."""
    text = f"{value:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def sign(unit: str) -> str:
    """The unit as it is printed: Ω for ohm, mm² for mm2."""
    return _SIGNS.get(unit, unit)


@lru_cache(maxsize=4096)
def quantity(value: float, unit: str = "", places: int | None = None) -> str:
    """Value and unit, such as ``0.35 Ω``, with a space that does not break."""
    number = plain(value, PLACES.get(unit, 3) if places is None else places)
    if unit in _COUNTED and number == "1":
        unit = unit[:-1]
    return f"{number}{_NO_BREAK}{sign(unit)}" if unit not in _PURE else number


def places_apart(value: float, limit: float, unit: str) -> int:
    """The fewest decimals, from those usual for the unit, that keep two different numbers different."""
    places = PLACES.get(unit, 3)
    while places < _MOST_PLACES and value != limit and plain(value, places) == plain(limit, places):
        places += 1
    return places
