"""Small invented installations for tests: records with everyday values, every one replaceable by keyword.

``house(...)`` is a single-phase TN-C-S dwelling with one board and a two-pole main switch, and takes
devices, circuits, equipment and further boards in any order.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from trainer.domain.cables import Cable, CableType, Circuit
from trainer.domain.devices import Board, Device
from trainer.domain.equipment import Charger, Equipment, EquipmentKind, Source, SourceKind
from trainer.domain.findings import Verdict
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits, limits_for
from trainer.domain.rules.registry import Rule, subjects
from trainer.domain.supply import Earthing, Supply
from trainer.domain.vocabulary import (
    DEFAULT_EDITION,
    Curve,
    DeviceKind,
    EarthingSystem,
    Edition,
    FrontEnd,
    Premises,
    RcdType,
    ResidualDelay,
    Stated,
)

Record = Device | Circuit | Equipment | Board

BOARD = "main"
MAIN_SWITCH = "main_switch"


def device(name: str, kind: DeviceKind, **facts: Any) -> Device:
    """A device fed by the main switch of the main board."""
    given: dict[str, Any] = {"board": BOARD, "fed_by": MAIN_SWITCH, "rated_current_a": 32.0, "poles": 2}
    return Device(id=name, kind=kind, **(given | facts))


def switch(name: str = MAIN_SWITCH, **facts: Any) -> Device:
    """A main switch at the head of the main board."""
    return device(name, DeviceKind.SWITCH, **({"fed_by": BOARD, "rated_current_a": 100.0} | facts))


def _residual(rcd_type: RcdType | str | None, rating_ma: float | None, facts: dict[str, Any]) -> dict[str, Any]:
    given = {
        "rcd_type": None if rcd_type is None else RcdType(rcd_type),
        "rated_residual_operating_current_ma": rating_ma,
        "residual_delay": ResidualDelay.GENERAL,
    }
    return given | facts


def rcbo(name: str, rcd_type: RcdType | str | None = "A", rating_ma: float | None = 30.0, **facts: Any) -> Device:
    """An RCBO of 32 A, curve B, two poles, type A, 30 mA, without delay."""
    return device(name, DeviceKind.RCBO, **({"curve": Curve.B} | _residual(rcd_type, rating_ma, facts)))


def rccb(name: str, rcd_type: RcdType | str | None = "A", rating_ma: float | None = 30.0, **facts: Any) -> Device:
    """An RCCB of 63 A, two poles, type A, 30 mA, without delay."""
    return device(name, DeviceKind.RCCB, **({"rated_current_a": 63.0} | _residual(rcd_type, rating_ma, facts)))


def selective(name: str = "incomer", rcd_type: RcdType | str = "A", rating_ma: float = 100.0, **facts: Any) -> Device:
    """A time-delayed RCCB of 100 A, 100 mA, at the head of the main board."""
    head = {"fed_by": BOARD, "rated_current_a": 100.0, "residual_delay": ResidualDelay.S}
    return rccb(name, rcd_type, rating_ma, **(head | facts))


def breaker(name: str, **facts: Any) -> Device:
    """A single-pole circuit-breaker of 32 A, curve B."""
    return device(name, DeviceKind.CIRCUIT_BREAKER, **({"curve": Curve.B, "poles": 1} | facts))


def fuse(name: str, **facts: Any) -> Device:
    """A single-pole fuse of 32 A."""
    return device(name, DeviceKind.FUSE, **({"poles": 1} | facts))


def cable(**facts: Any) -> Cable:
    """A flat cable of 2.5 mm2 with a protective conductor of 1.5 mm2, 20 m, clipped direct."""
    given: dict[str, Any] = {
        "type": CableType.FLAT_THERMOPLASTIC_70,
        "cross_section_mm2": 2.5,
        "protective_conductor_mm2": 1.5,
        "length_m": 20.0,
        "reference_method": "C",
    }
    return Cable(**(given | facts))


def circuit(name: str, fed_by: str, **facts: Any) -> Circuit:
    """A single-phase circuit of fixed equipment, on a cable of 2.5 mm2 at the surface."""
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
    """A single-phase charger of 32 A, charging outdoors, whose sheet names 6 mA d.c. detection.

    Facts of the record ``Charger`` and of ``Equipment`` may be given alike.
    """
    own = {key: facts.pop(key) for key in tuple(facts) if key in Charger.__dataclass_fields__}
    given: dict[str, Any] = {"charges_outdoors": True, "direct_current_detection": Stated.YES}
    front = {"rated_current_a": 32.0, "front_end": FrontEnd.BRIDGE_POWER_FACTOR_STAGE}
    return item(name, on, EquipmentKind.CHARGER, charger=Charger(**(given | own)), **(front | facts))


def heat_pump(name: str, on: str, front_end: FrontEnd | None = FrontEnd.SIX_PULSE_CAPACITOR, **facts: Any) -> Equipment:
    """A heat pump whose maker says nothing of residual current devices."""
    return item(name, on, EquipmentKind.HEAT_PUMP, front_end=front_end, **facts)


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
    source = Source(kind=kind, **({"rated_current_a": 16.0} | own))
    front = {"rated_current_a": 16.0, "front_end": FrontEnd.INVERTER_FULL_BRIDGE, "source": source}
    return item(name, on, families.get(kind, EquipmentKind.OTHER), **(front | facts))


_COLLECTIONS: tuple[tuple[type[Any], str], ...] = (
    (Device, "devices"),
    (Circuit, "circuits"),
    (Equipment, "equipment"),
    (Board, "boards"),
)


def house(
    *records: Record,
    system: EarthingSystem | None = EarthingSystem.TN_C_S,
    phases: int = 1,
    supply: Supply | None = None,
    **facts: Any,
) -> Installation:
    """A dwelling with one board; a main switch heads it unless a record of that board does."""
    found: dict[str, dict[str, Any]] = {name: {} for _, name in _COLLECTIONS}
    found["boards"][BOARD] = Board(id=BOARD)
    for record in records:
        name = next(name for kind, name in _COLLECTIONS if isinstance(record, kind))
        found[name][record.id] = record
    if MAIN_SWITCH not in found["devices"]:
        head = next((each.id for each in found["devices"].values() if each.fed_by == BOARD), BOARD)
        poles = 2 if phases == 1 else 4
        found["devices"] = {MAIN_SWITCH: switch(fed_by=head, poles=poles), **found["devices"]}
    given: dict[str, Any] = {
        "title": "Test house",
        "premises": Premises.DWELLING,
        "supply": supply or everyday_supply(system, phases),
        "earthing": Earthing(extraneous_parts=False),
    }
    return Installation(**(given | found | facts))


def everyday_supply(system: EarthingSystem | None = EarthingSystem.TN_C_S, phases: int = 1, **facts: Any) -> Supply:
    """A supply as network operators declare it, with a cut-out fuse of 100 A."""
    given: dict[str, Any] = {"external_earth_fault_loop_impedance_ohm": 0.35, "fuse_rated_current_a": 100.0}
    return Supply(earthing_system=system, phases=phases, **(given | facts))


def changed(record: Any, **facts: Any) -> Any:
    """The same record with other facts."""
    return replace(record, **facts)


def verdicts(rule: Rule, of: Installation, edition: Edition = DEFAULT_EDITION) -> dict[str, Verdict]:
    """What a rule says of every record that it judges, by the record's id."""
    limits: Limits = limits_for(edition)
    found = {path.rpartition(".")[2]: rule.judge(record, of, limits) for path, record in subjects(of, rule.over)}
    return {name: verdict for name, verdict in found.items() if verdict is not None}
