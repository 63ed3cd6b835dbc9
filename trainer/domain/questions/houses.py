"""Small houses for questions: one board with a two-pole main switch, and what a family adds."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from trainer.domain.cables import Cable, CableType, Circuit
from trainer.domain.devices import Board, Device
from trainer.domain.equipment import (
    Charger,
    Equipment,
    EquipmentKind,
    Source,
    SourceKind,
)
from trainer.domain.installation import Installation
from trainer.domain.supply import Earthing, Supply
from trainer.domain.vocabulary import (
    Curve,
    DeviceKind,
    EarthingSystem,
    FrontEnd,
    Premises,
    RcdType,
    ResidualDelay,
    Stated,
)

BOARD, MAIN_SWITCH = "main", "main_switch"
Record = Device | Circuit | Equipment | Board
_PLACES: tuple[tuple[type[Any], str], ...] = (
    (Device, "devices"),
    (Circuit, "circuits"),
    (Equipment, "equipment"),
    (Board, "boards"),
)


def house(*records: Record, **facts: Any) -> Installation:
    """A single-phase TN-C-S dwelling with the given records; every fact can be given otherwise."""
    found: dict[str, dict[str, Any]] = {name: {} for _, name in _PLACES}
    found["boards"][BOARD] = Board(id=BOARD, label="Consumer unit", ways=12, metal_enclosure=True)
    found["devices"][MAIN_SWITCH] = main_switch()
    for record in records:
        name = next(name for kind, name in _PLACES if isinstance(record, kind))
        found[name][record.id] = record
    given: dict[str, Any] = {
        "title": "Small house, invented",
        "premises": Premises.DWELLING,
        "supply": supply(),
        "earthing": Earthing(extraneous_parts=False),
    }
    return Installation(**(given | found | facts))


def plain() -> Installation:
    """The house of a question that needs none: one lighting circuit."""
    return house(rcbo("way1", label="Lighting", way=1), circuit("lighting", "way1", label="Lighting", luminaires=True))


def supply(system: EarthingSystem = EarthingSystem.TN_C_S, **facts: Any) -> Supply:
    """A supply with a service fuse of 100 A and a low impedance."""
    given: dict[str, Any] = {
        "external_earth_fault_loop_impedance_ohm": 0.3,
        "prospective_fault_current_ka": 1.5,
        "fuse_rated_current_a": 100.0,
        "looped": False,
        "declared_adequate": True,
    }
    return Supply(earthing_system=system, **(given | facts))


def tt_earth(electrode_ohm: float) -> dict[str, Any]:
    """The facts of a house on TT with an electrode of its own."""
    return {
        "supply": supply(EarthingSystem.TT, external_earth_fault_loop_impedance_ohm=None),
        "earthing": Earthing(electrode_resistance_ohm=electrode_ohm, extraneous_parts=False),
    }


def device(name: str, kind: DeviceKind, **facts: Any) -> Device:
    """A two-pole device of 32 A behind the main switch."""
    given: dict[str, Any] = {"board": BOARD, "fed_by": MAIN_SWITCH, "rated_current_a": 32.0, "poles": 2}
    return Device(id=name, kind=kind, **(given | facts))


def main_switch(**facts: Any) -> Device:
    """A two-pole main switch of 100 A."""
    given: dict[str, Any] = {"fed_by": BOARD, "rated_current_a": 100.0, "label": "Main switch"}
    return device(MAIN_SWITCH, DeviceKind.SWITCH, **(given | facts))


def residual(name: str, kind: DeviceKind, rcd_type: str, rating_ma: float, **facts: Any) -> Device:
    """An RCCB or RCBO without intended delay; an RCBO with curve B."""
    given: dict[str, Any] = {
        "rcd_type": RcdType(rcd_type),
        "rated_residual_operating_current_ma": rating_ma,
        "residual_delay": ResidualDelay.GENERAL,
    }
    own = {"curve": Curve.B} if kind is DeviceKind.RCBO else {"rated_current_a": 63.0}
    return device(name, kind, **(own | given | facts))


def rcbo(name: str, rcd_type: str = "A", rating_ma: float = 30.0, **facts: Any) -> Device:
    """A two-pole RCBO of 32 A, curve B, without delay."""
    return residual(name, DeviceKind.RCBO, rcd_type, rating_ma, **facts)


def rccb(name: str, rcd_type: str = "A", rating_ma: float = 30.0, **facts: Any) -> Device:
    """A two-pole RCCB of 63 A without delay."""
    return residual(name, DeviceKind.RCCB, rcd_type, rating_ma, **facts)


def breaker(name: str, **facts: Any) -> Device:
    """A single-pole circuit-breaker of 32 A, curve B."""
    return device(name, DeviceKind.CIRCUIT_BREAKER, **({"curve": Curve.B, "poles": 1} | facts))


def cable(**facts: Any) -> Cable:
    """A flat cable of 2.5/1.5 mm2, 20 m, clipped direct."""
    given: dict[str, Any] = {
        "type": CableType.FLAT_THERMOPLASTIC_70,
        "cross_section_mm2": 2.5,
        "protective_conductor_mm2": 1.5,
        "length_m": 20.0,
        "reference_method": "C",
    }
    return Cable(**(given | facts))


def circuit(name: str, fed_by: str, **facts: Any) -> Circuit:
    """A single-phase final circuit on a flat cable at the surface."""
    return Circuit(id=name, fed_by=fed_by, **({"cable": cable()} | facts))


def item(name: str, on: str, kind: EquipmentKind = EquipmentKind.OTHER, **facts: Any) -> Equipment:
    """Fixed resistive equipment of 10 A without leakage."""
    given: dict[str, Any] = {
        "rated_current_a": 10.0,
        "front_end": FrontEnd.RESISTIVE,
        "galvanic_separation": False,
        "protective_conductor_current_ma": 0.0,
        "standing_dc_ma": 0.0,
    }
    return Equipment(id=name, circuit=on, kind=kind, **(given | facts))


def charger(name: str, on: str, **facts: Any) -> Equipment:
    """A single-phase charger of 32 A outdoors whose sheet names 6 mA d.c. detection.

    Facts of the record ``Charger`` and of ``Equipment`` may be given alike.
    """
    own = {key: facts.pop(key) for key in tuple(facts) if key in Charger.__dataclass_fields__}
    given: dict[str, Any] = {"charges_outdoors": True, "direct_current_detection": Stated.YES}
    front = {"rated_current_a": 32.0, "front_end": FrontEnd.BRIDGE_POWER_FACTOR_STAGE}
    return item(name, on, EquipmentKind.CHARGER, charger=Charger(**(given | own)), **(front | facts))


def inverter(name: str, on: str, kind: SourceKind = SourceKind.PV, **facts: Any) -> Equipment:
    """An inverter of 16 A without separation, whose maker says nothing of residual current devices.

    Facts of the record ``Source`` and of ``Equipment`` may be given alike.
    """
    names = set(Source.__dataclass_fields__) - {"kind", "rated_current_a"}
    own = {key: facts.pop(key) for key in tuple(facts) if key in names}
    families = {
        SourceKind.PV: EquipmentKind.PV_INVERTER,
        SourceKind.BATTERY: EquipmentKind.BATTERY_INVERTER,
        SourceKind.HYBRID: EquipmentKind.HYBRID_INVERTER,
    }
    front = {"rated_current_a": 16.0, "front_end": FrontEnd.INVERTER_FULL_BRIDGE}
    source = Source(kind=kind, **({"rated_current_a": facts.get("rated_current_a", 16.0)} | own))
    return item(name, on, families.get(kind, EquipmentKind.OTHER), **(front | {"source": source} | facts))


def with_device(of: Installation, name: str, **facts: Any) -> Installation:
    """The same house with other facts of one device."""
    return replace(of, devices={**of.devices, name: replace(of.devices[name], **facts)})
