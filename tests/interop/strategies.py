"""Installations of all shapes for property tests: sound by construction."""

from __future__ import annotations

import dataclasses
from enum import StrEnum
from typing import Any

from hypothesis import strategies as st

from trainer.domain.cables import Cable, CableType, Circuit
from trainer.domain.devices import Board, Device
from trainer.domain.equipment import Battery, Charger, Equipment, EquipmentKind, PvArray, Source, SourceKind
from trainer.domain.installation import Installation, Network
from trainer.domain.supply import Earthing, Supply, SurgeProtection
from trainer.domain.validation.cable_tables import covered
from trainer.domain.validation.keywords import KEYWORDS, NOTICES
from trainer.domain.validation.plausible import range_of
from trainer.domain.validation.units import unit_of
from trainer.domain.vocabulary import DeviceKind, Premises
from trainer.interop.reading import fields_of, hints_of, without_none

TEXTS = st.text("abcXYZ 0123456789 äÖΩ\"'\\#[]{}=.,-", max_size=12)
SOURCES = {
    EquipmentKind.PV_INVERTER: SourceKind.PV,
    EquipmentKind.BATTERY_INVERTER: SourceKind.BATTERY,
    EquipmentKind.HYBRID_INVERTER: SourceKind.HYBRID,
    EquipmentKind.CHARGER: SourceKind.VEHICLE,
}
_RESIDUAL_ONLY = ("rcd_type", "residual_delay", "direct_current_detection_ma", "measured_break_time_ms")
# Facts that only some records can have; the shapes below set those that they can.
_LEFT_OUT = {
    Equipment: ("charger", "source", "pv_array", "battery", "maker_rcd_word", "phases", "rated_power_w"),
    Circuit: ("cable", "phases", "line", "has_neutral", "socket_outlet_rated_current_a"),
    Device: ("curve", "arc_fault_detection", "rated_residual_operating_current_ma", *_RESIDUAL_ONLY),
    Supply: ("phases",),
    Source: ("kind", "island"),
    PvArray: ("strings_in_parallel",),
}
# Ranges that hold on every supply, TN included.
_LOOPS = {
    "external_earth_fault_loop_impedance_ohm": 20.0,
    "measured_earth_fault_loop_impedance_ohm": 50.0,
}


def numbers(name: str, kind: type) -> st.SearchStrategy[Any]:
    allowed = range_of(name)
    if kind is int:
        return st.integers(int(allowed.minimum), int(allowed.maximum))
    allowed = dataclasses.replace(allowed, maximum=_LOOPS.get(name, allowed.maximum))
    unit = unit_of(name)
    places = 4 if unit is None else unit.places
    floats = st.floats(allowed.minimum, allowed.maximum).map(lambda number: round(number, places))
    return floats.filter(allowed.holds)


def values(record: type, name: str) -> st.SearchStrategy[Any]:
    kind, optional = without_none(hints_of(record)[name])
    if dataclasses.is_dataclass(kind) and isinstance(kind, type):
        found: st.SearchStrategy[Any] = records(kind)
    elif (record.__name__, name) in KEYWORDS:
        found = st.sampled_from([str(word) for word in KEYWORDS[record.__name__, name]])
    elif issubclass(kind, StrEnum):
        found = st.sampled_from(list(kind))
    elif kind is bool:
        found = st.booleans()
    elif kind is str:
        found = TEXTS
    else:
        found = numbers(name, kind)
    return st.none() | found if optional else found


def records(record: type, **fixed: Any) -> st.SearchStrategy[Any]:
    """Records with every fact drawn, but those that are fixed or that not every record can have."""
    left_out = _LEFT_OUT.get(record, ())
    drawn = {
        field.name: values(record, field.name)
        for field in fields_of(record)
        if field.name not in fixed and field.name not in left_out
    }
    return st.builds(record, **drawn, **{name: st.just(value) for name, value in fixed.items()})


@st.composite
def cables(draw: st.DrawFn, record: type) -> Any:
    table = draw(st.sampled_from(list(CableType)))
    method, size, _ = draw(st.sampled_from(sorted(covered(table))))
    return draw(records(record, type=table, reference_method=method, cross_section_mm2=size))


@st.composite
def devices(draw: st.DrawFn, key: str, board: str, feeder: str, poles: int) -> Device:
    kind = draw(st.sampled_from(list(DeviceKind)))
    shape = {"id": key, "board": board, "fed_by": feeder, "kind": kind, "way": None, "poles": poles}
    device: Device = draw(records(Device, **shape))
    facts: dict[str, Any] = {}
    if device.detects_residual_current:
        facts = {name: draw(values(Device, name)) for name in _RESIDUAL_ONLY}
        facts["rated_residual_operating_current_ma"] = draw(st.sampled_from([10.0, 30.0, 100.0, 300.0]))
    if kind in (DeviceKind.RCBO, DeviceKind.CIRCUIT_BREAKER):
        facts["curve"] = draw(values(Device, "curve"))
    return dataclasses.replace(device, **facts)


@st.composite
def circuits(draw: st.DrawFn, key: str, feeder: str, phases: int) -> Circuit:
    circuit: Circuit = draw(records(Circuit, id=key, fed_by=feeder))
    cable = draw(st.none() | cables(Cable))
    if phases > 1 and cable is not None and cable.type is CableType.FLAT_THERMOPLASTIC_70:
        cable = None
    neutral = phases == 1 or draw(st.booleans())
    return dataclasses.replace(circuit, cable=cable, phases=phases, has_neutral=neutral)


@st.composite
def items(draw: st.DrawFn, key: str, circuit: Circuit) -> Equipment:
    """Equipment of any kind with the tables that its kind can have."""
    kind = draw(st.sampled_from(list(EquipmentKind)))
    phases = draw(st.sampled_from([1, circuit.phases]))
    shape = {"id": key, "circuit": circuit.id, "kind": kind, "phases": phases, "rated_power_w": 3000.0}
    item: Equipment = draw(records(Equipment, **shape))
    facts: dict[str, Any] = {}
    if kind is EquipmentKind.CHARGER:
        facts["charger"] = draw(records(Charger))
    if kind in SOURCES:
        source = records(Source, kind=SOURCES[kind], island=True)
        facts["source"] = draw(source if kind is not EquipmentKind.CHARGER else st.none() | source)
    if kind in (EquipmentKind.PV_INVERTER, EquipmentKind.HYBRID_INVERTER):
        facts["pv_array"] = draw(st.none() | records(PvArray, strings_in_parallel=2))
    if kind in (EquipmentKind.BATTERY_INVERTER, EquipmentKind.HYBRID_INVERTER):
        facts["battery"] = draw(st.none() | records(Battery))
    return dataclasses.replace(item, **facts)


@st.composite
def installations(draw: st.DrawFn) -> Installation:
    """One or two boards, the second below a circuit of the first; one phase or three throughout."""
    phases = draw(st.sampled_from([1, 3]))
    poles = 2 if phases == 1 else 4
    boards, tree, ends, found = {}, {}, {}, {}
    for board, feeder in [("cu", "supply"), ("shed", "c0")][: draw(st.integers(1, 2))]:
        boards[board] = draw(records(Board, id=board, fed_by=feeder, ways=None))
        ids: list[str] = []
        for _ in range(draw(st.integers(1, 4))):
            key = f"d{len(tree)}"
            tree[key] = draw(devices(key, board, draw(st.sampled_from([board, *ids])), poles))
            ids.append(key)
        for _ in range(draw(st.integers(1, 3))):
            key = f"c{len(ends)}"
            ends[key] = draw(circuits(key, draw(st.sampled_from(ids)), draw(st.sampled_from([1, phases]))))
    for key, circuit in ends.items():
        if draw(st.booleans()) and not (key == "c0" and len(boards) > 1):
            found[f"e_{key}"] = draw(items(f"e_{key}", circuit))
    return Installation(
        title=draw(TEXTS),
        premises=draw(st.none() | st.sampled_from(list(Premises))),
        supply=draw(records(Supply, phases=phases)),
        earthing=draw(records(Earthing)),
        boards=boards,
        devices=tree,
        circuits=ends,
        equipment=found,
        surge=draw(records(SurgeProtection)),
        network=draw(records(Network)),
        notices=frozenset(draw(st.lists(st.sampled_from(NOTICES), max_size=4))),
        stated_maximum_demand_a=draw(st.none() | numbers("stated_maximum_demand_a", float)),
    )
