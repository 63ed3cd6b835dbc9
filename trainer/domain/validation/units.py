"""Units as they end the names of fields, and what is easily mistaken for them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """A unit: its sign, the places that a serialised value keeps, and the units confused with it.

    ``mistaken`` maps the name of another unit to the factor that turns a number in it into a
    number in this one.
    """

    sign: str
    places: int
    mistaken: Mapping[str, float] = field(default_factory=dict)


UNITS: Final[Mapping[str, Unit]] = MappingProxyType(
    {
        "a": Unit(sign="A", places=3, mistaken={"milliamperes": 1e-3, "kiloamperes": 1e3}),
        "ka": Unit(sign="kA", places=3, mistaken={"amperes": 1e-3}),
        "ma": Unit(sign="mA", places=3, mistaken={"amperes": 1e3}),
        "v": Unit(sign="V", places=2, mistaken={"kilovolts": 1e3, "millivolts": 1e-3}),
        "ohm": Unit(sign="ohm", places=4, mistaken={"milliohms": 1e-3}),
        "mohm": Unit(sign="Mohm", places=3, mistaken={"kilohms": 1e-3, "ohms": 1e-6}),
        "w": Unit(sign="W", places=3, mistaken={"kilowatts": 1e3}),
        "m": Unit(sign="m", places=3, mistaken={"millimetres": 1e-3}),
        "mm": Unit(sign="mm", places=3, mistaken={"metres": 1e3}),
        "mm2": Unit(sign="mm2", places=3),
        "s": Unit(sign="s", places=6, mistaken={"milliseconds": 1e-3}),
        "ms": Unit(sign="ms", places=2, mistaken={"seconds": 1e3}),
        "hz": Unit(sign="Hz", places=3),
        "deg": Unit(sign="deg", places=2),
        "c": Unit(sign="deg C", places=2),
        "percent": Unit(sign="%", places=3, mistaken={"a fraction": 1e2}),
        "percent_per_k": Unit(sign="%/K", places=4, mistaken={"a fraction per kelvin": 1e2}),
        "k_m_per_w": Unit(sign="K m/W", places=3),
        "factor": Unit(sign="", places=4, mistaken={"per cent": 1e-2}),
    }
)


def name_and_unit(name: str) -> tuple[str, Unit | None]:
    """A field's name without its unit, and the unit: ``length_m`` is a length in metres."""
    parts = name.split("_")
    for start in range(1, len(parts)):
        unit = UNITS.get("_".join(parts[start:]))
        if unit is not None:
            return "_".join(parts[:start]), unit
    return name, None


def unit_of(name: str) -> Unit | None:
    """The unit in which the name of a field ends, or None."""
    return name_and_unit(name)[1]
