"""Sizes in which the trade's goods are made: cables, ratings, widths of devices."""

from __future__ import annotations

from typing import Final

from trainer.domain.cables import CableType
from trainer.domain.vocabulary import DeviceKind, RcdType

SIZES_MM2: Final = (1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0)

_FLAT_EARTH_MM2: Final = {1.0: 1.0, 1.5: 1.0, 2.5: 1.5, 4.0: 1.5, 6.0: 2.5, 10.0: 4.0, 16.0: 6.0}
"""The protective conductor of flat twin and earth by its live conductors."""

STANDARDS: Final = {
    DeviceKind.RCCB: "BS EN 61008-1",
    DeviceKind.RCBO: "BS EN 61009-1",
    DeviceKind.CIRCUIT_BREAKER: "BS EN 60898-1",
    DeviceKind.SWITCH: "BS EN 60947-3",
}
_ALSO_F_AND_B: Final = "BS EN 62423"


def sizes(kind: CableType, smallest_mm2: float = 0.0) -> tuple[float, ...]:
    """The cross-sections in which a cable is made, from the smallest that is used."""
    made = tuple(_FLAT_EARTH_MM2) if kind is CableType.FLAT_THERMOPLASTIC_70 else SIZES_MM2[1:]
    return tuple(size for size in made if size >= smallest_mm2)


def protective_conductor_mm2(kind: CableType, size_mm2: float) -> float:
    """The protective conductor that comes with a cable: reduced in flat cable, else of the same size."""
    return _FLAT_EARTH_MM2[size_mm2] if kind is CableType.FLAT_THERMOPLASTIC_70 else size_mm2


def modules(kind: DeviceKind, poles: int, rcd_type: RcdType | None) -> int:
    """The invented width of a device in modules of 18 mm; type B is one or two modules wider."""
    large = poles > 2
    wider = 0
    if rcd_type is RcdType.B:
        wider = 2 if kind is DeviceKind.RCBO and not large else 1
    if kind is DeviceKind.CIRCUIT_BREAKER:
        return poles
    least = 1 if kind is DeviceKind.RCBO else 2
    return (4 if large else least) + wider


def standard(kind: DeviceKind, rcd_type: RcdType | None) -> str:
    """The product standard that a device is marked with."""
    if rcd_type in (RcdType.F, RcdType.B):
        return f"{STANDARDS[kind]}, {_ALSO_F_AND_B}"
    return STANDARDS[kind]
