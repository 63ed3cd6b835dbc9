"""Numbers with units: an answer in another unit of the same kind is understood."""

from __future__ import annotations

import re
from typing import Final

# Unit: the kind it belongs to, and how many of the kind's first unit it is. SI prefixes and their usual spellings.
_UNITS: Final[dict[str, tuple[str, float]]] = {
    "A": ("current", 1.0),
    "mA": ("current", 1e-3),
    "kA": ("current", 1e3),
    "V": ("voltage", 1.0),
    "mV": ("voltage", 1e-3),
    "kV": ("voltage", 1e3),
    "ohm": ("resistance", 1.0),
    "ohms": ("resistance", 1.0),
    "\u03a9": ("resistance", 1.0),
    "mohm": ("resistance", 1e-3),
    "m\u03a9": ("resistance", 1e-3),
    "kohm": ("resistance", 1e3),
    "k\u03a9": ("resistance", 1e3),
    "Mohm": ("resistance", 1e6),
    "M\u03a9": ("resistance", 1e6),
    "s": ("time", 1.0),
    "ms": ("time", 1e-3),
    "W": ("power", 1.0),
    "kW": ("power", 1e3),
    "VA": ("apparent power", 1.0),
    "kVA": ("apparent power", 1e3),
    "m": ("length", 1.0),
    "mm": ("length", 1e-3),
    "cm": ("length", 1e-2),
    "mm2": ("area", 1.0),
    "mm²": ("area", 1.0),
    "Hz": ("frequency", 1.0),
    "kHz": ("frequency", 1e3),
    "%": ("share", 1.0),
    "degC": ("temperature", 1.0),
    "°C": ("temperature", 1.0),
    "mV/A/m": ("voltage drop", 1.0),
    "A2s": ("energy let through", 1.0),
    "A²s": ("energy let through", 1.0),
    "": ("count", 1.0),
}
_NUMBER: Final = re.compile(r"^\s*([-+−]?(?:\d+(?:[ ,]\d{3})*|\d*)(?:\.\d+)?(?:[eE][+-]?\d{1,3})?)\s*(\S.*?)?\s*$")


class NotANumberError(ValueError):
    """A text that is no number with a unit of the kind asked for; the message says why."""


def number_in(text: str, unit: str) -> float:
    """The number that a text gives, in the unit asked for; a bare number is in that unit.

    *Raises* NotANumberError.
    """
    found = _NUMBER.match(text)
    if found is None or not any(sign.isdigit() for sign in found[1]):
        raise NotANumberError("must be a number, such as 12.5")
    value = float(found[1].replace(" ", "").replace(",", "").replace("−", "-"))
    # Keyboards give the ohm sign and the Greek letter; they look the same.
    given = (found[2] or unit).strip().replace("\u2126", "\u03a9")
    return value if given == unit else value * _factor(given, unit)


def _factor(given: str, unit: str) -> float:
    """How many of the unit asked for one of the given unit is."""
    known = _UNITS.get(given) or _UNITS.get(given.replace(" ", ""))
    kind, size = _UNITS[unit]
    if known is None or known[0] != kind:
        raise NotANumberError(f"is in {given}; give it in {unit or 'no unit'}{_others(kind, unit)}")
    return known[1] / size


def _others(kind: str, unit: str) -> str:
    plain = [name for name, (of, _) in _UNITS.items() if of == kind and name != unit and name.isascii() and name]
    return f" ({', '.join(plain)} are understood too)" if plain else ""


def is_unit(name: str) -> bool:
    """True for a unit in which an answer can be asked for."""
    return name in _UNITS
