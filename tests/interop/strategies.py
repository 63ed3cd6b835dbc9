"""Installations of all shapes for property tests: sound by construction."""

from __future__ import annotations

import dataclasses
from enum import StrEnum
from typing import Any

from hypothesis import strategies as st

from trainer.domain.cables import CableType, Circuit
from trainer.domain.devices import Board, Device
from trainer.domain.equipment import Equipment, EquipmentKind
from trainer.domain.installation import Installation, Network
from trainer.domain.supply import Earthing, Supply, SurgeProtection
from trainer.domain.validation.cable_tables import covered
from trainer.domain.validation.keywords import KEYWORDS, NOTICES
from trainer.domain.validation.plausible import range_of
from trainer.domain.validation.units import unit_of
from trainer.domain.vocabulary import DeviceKind, EarthingSystem, Premises
from trainer.interop.reading import fields_of, hints_of, without_none

TEXTS = st.text("abcXYZ 0123456789 äÖΩ\"'\\#[]{}=.,-", max_size=12)
_RESIDUAL = ("rcd_type", "rated_residual_operating_current_ma", "residual_delay")
_RESIDUAL_ONLY = (*_RESIDUAL, "direct_current_detection_ma", "measured_break_time_ms")
# Facts that only some records can have; the shapes below set those that they can.
_LEFT_OUT = {
    Equipment: ("charger", "source", "pv_array", "battery", "maker_rcd_word", "phases"),
    Circuit: ("cable", "phases", "line", "has_neutral", "socket_outlet_rated_current_a"),
    Device: ("curve", "arc_fault_detection", *_RESIDUAL_ONLY),
    Supply: ("phases", "external_earth_fault_loop_impedance_ohm"),
}


def numbers(name: str, kind: type) -> st.SearchStrategy[Any]:
    allowed = range_of(name)
    if kind is int:
        return st.integers(int(allowed.minimum), int(allowed.maximum))
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
def devices(draw: st.DrawFn, key: str, feeder: str) -> Device:
    kind = draw(st.sampled_from(list(DeviceKind)))
    device: Device = draw(records(Device, id=key, board="cu", fed_by=feeder, kind=kind, way=None, poles=2))
    if device.detects_residual_current:
        facts = {name: draw(values(Device, name)) for name in _RESIDUAL_ONLY}
        facts["rated_residual_operating_current_ma"] = 30.0
        device = dataclasses.replace(device, **facts)
    return device


@st.composite
def circuits(draw: st.DrawFn, key: str, feeder: str) -> Circuit:
    circuit: Circuit = draw(records(Circuit, id=key, fed_by=feeder))
    cable_hint, _ = without_none(hints_of(Circuit)["cable"])
    return dataclasses.replace(circuit, cable=draw(st.none() | cables(cable_hint)))


@st.composite
def installations(draw: st.DrawFn) -> Installation:
    ids = [f"d{n}" for n in range(draw(st.integers(1, 5)))]
    tree = {key: draw(devices(key, draw(st.sampled_from(["cu", *ids[:n]])))) for n, key in enumerate(ids)}
    feeders = [draw(st.sampled_from(ids)) for _ in range(draw(st.integers(1, 4)))]
    ends = {f"c{n}": draw(circuits(f"c{n}", feeder)) for n, feeder in enumerate(feeders)}
    plain = st.sampled_from([EquipmentKind.HOB, EquipmentKind.HEAT_PUMP, EquipmentKind.IT])
    items = {
        f"e{n}": draw(records(Equipment, id=f"e{n}", circuit=circuit, kind=draw(plain), rated_power_w=3000.0))
        for n, circuit in enumerate(ends)
        if draw(st.booleans())
    }
    return Installation(
        title=draw(TEXTS),
        premises=draw(st.none() | st.sampled_from(list(Premises))),
        supply=draw(records(Supply, earthing_system=EarthingSystem.TT, apparent_earthing_system=None)),
        earthing=draw(records(Earthing)),
        boards={"cu": draw(records(Board, id="cu", fed_by="supply"))},
        devices=tree,
        circuits=ends,
        equipment=items,
        surge=draw(records(SurgeProtection)),
        network=draw(records(Network)),
        notices=frozenset(draw(st.lists(st.sampled_from(NOTICES), max_size=4))),
        stated_maximum_demand_a=draw(st.none() | numbers("stated_maximum_demand_a", float)),
    )
