"""Unit, related records and terms that the verdicts of overcurrent and cable rules carry, case by case."""

from __future__ import annotations

from typing import Any

import pytest

from tests.domain.houses import (
    BOARD,
    breaker,
    cable,
    circuit,
    everyday_supply,
    fuse,
    house,
    item,
    rcbo,
)
from tests.domain.rules.carrying import (
    FACTORS,
    FAULT,
    Carried,
    check_carried,
    name_of,
    wired,
    with_fault_current,
)
from trainer.domain.cables import CableType
from trainer.domain.devices import Board
from trainer.domain.installation import Installation
from trainer.domain.supply import Earthing
from trainer.domain.vocabulary import Curve, EarthingSystem

LOAD = item("i", "c")
LOOP = (
    ("external_earth_fault_loop_impedance", "ohm"),
    ("line_conductor_resistance", "ohm"),
    ("protective_conductor_resistance", "ohm"),
)
TT_LOOP = (("earth_electrode_resistance", "ohm"), ("line_conductor_resistance", "ohm"))


def in_tt(device: Any, ohm: float = 100.0) -> Installation:
    return wired(device, system=EarthingSystem.TT, earthing=Earthing(electrode_resistance_ohm=ohm))


HOT = cable(type=CableType.ARMOURED_THERMOSETTING_90, cross_section_mm2=4.0)

RING = wired(breaker("b"), circuit_facts={"ring": True, "socket_outlets": True})

CASES: list[Carried] = [
    (
        "OC-01",
        wired(breaker("b", rated_current_a=6.0), LOAD),
        "c",
        "design_current",
        "A",
        ("devices.b",),
        (("other", "A"),),
    ),
    ("OC-01", wired(breaker("b"), LOAD), "c", "cable", "A", ("devices.b",), (("design_current", "A"), *FACTORS)),
    (
        "OC-01",
        house(circuit("c", BOARD), LOAD),
        "c",
        "service_fuse",
        "A",
        ("supply",),
        (("design_current", "A"), *FACTORS),
    ),
    (
        "OC-01",
        wired(breaker("b"), circuit_facts={"ring": True, "socket_outlets": True}),
        "c",
        "ring",
        "A",
        ("devices.b",),
        FACTORS,
    ),
    ("OC-02", wired(breaker("b")), "c", "breaker_table", "ohm", ("devices.b",), LOOP),
    ("OC-02", wired(fuse("b", standard="BS 88-3")), "c", "fuse_table", "ohm", ("devices.b",), LOOP),
    ("OC-02", wired(rcbo("b", curve=Curve.D)), "c", "by_rcd", "ohm", ("devices.b",), LOOP),
    (
        "OC-02",
        wired(
            breaker("b", curve=Curve.D, rated_current_a=40.0),
            supply=everyday_supply(external_earth_fault_loop_impedance_ohm=0.05),
        ),
        "c",
        "disputed_table",
        "ohm",
        ("devices.b",),
        LOOP,
    ),
    ("OC-04", wired(breaker("b")), "c", "by_overcurrent_device", "s", ("devices.b",), LOOP),
    ("OC-04", in_tt(rcbo("b")), "c", "by_rcd", "s", ("devices.b",), TT_LOOP),
    ("OC-04", in_tt(breaker("b")), "c", "no_rcd", "s", (), TT_LOOP),
    ("OC-04", in_tt(rcbo("b"), 8000.0), "c", "below_rating", "A", ("devices.b",), TT_LOOP),
    ("OC-05", wired(breaker("b", rated_current_a=20.0)), "c", "overload_device", "A", ("devices.b",), ()),
    ("OC-05", RING, "c", "ring", "A", ("devices.b",), (("device_rating", "A"),)),
    ("OC-05", wired(breaker("b"), supply=with_fault_current(1.0)), "c", "adiabatic", "mm2", ("devices.b",), FAULT),
    (
        "OC-05",
        wired(fuse("b", standard="BS 88-3", rated_current_a=100.0), supply=with_fault_current(1.0)),
        "c",
        "not_cleared",
        "A",
        ("devices.b",),
        (("supply", "ohm"), ("line_and_neutral", "ohm")),
    ),
    ("OC-06", wired(breaker("b"), run=cable(protective_conductor_mm2=2.5)), "c", "table", "mm2", (), ()),
    ("OC-06", wired(breaker("b")), "c", "adiabatic", "mm2", ("devices.b",), (*FAULT, ("k", ""))),
    ("OC-06", wired(rcbo("b", curve=Curve.D)), "c", "by_rcd", "mm2", ("devices.b",), (*FAULT, ("k", ""))),
    (
        "OC-06",
        wired(
            breaker("b"),
            run=cable(length_m=1.0),
            supply=everyday_supply(external_earth_fault_loop_impedance_ohm=0.1),
        ),
        "c",
        "breaker_table",
        "mm2",
        ("devices.b",),
        (),
    ),
    (
        "OC-07",
        wired(breaker("b", breaking_capacity_ka=6.0), supply=with_fault_current(2.0)),
        "b",
        "own_capacity",
        "kA",
        ("supply",),
        (),
    ),
    (
        "OC-07",
        wired(breaker("b"), Board(id=BOARD, conditional_rating_ka=16.0), supply=with_fault_current(2.0)),
        "b",
        "conditional_rating",
        "kA",
        ("boards.main",),
        (),
    ),
    ("OC-08", wired(breaker("b"), LOAD), "c", "other", "V", (), (("final_circuit_drop", "V"),)),
    (
        "OC-09",
        wired(breaker("b", rated_current_a=20.0), run=cable(grouped_with=1)),
        "c",
        "in_air",
        "A",
        ("devices.b",),
        FACTORS,
    ),
    (
        "OC-10",
        wired(breaker("b", rated_current_a=20.0), run=cable(insulation_contact_mm=50.0)),
        "c",
        "insulation_factor",
        "A",
        ("devices.b",),
        FACTORS,
    ),
    ("OC-11", wired(breaker("b", rated_current_a=40.0), run=HOT), "c", "ordinary_terminals", "deg C", (), ()),
    ("OC-11", wired(breaker("b"), run=HOT), "c", "cool_enough", "A", (), FACTORS),
    (
        "OC-11",
        wired(breaker("b"), run=cable(type=CableType.ARMOURED_THERMOSETTING_90, conductor_temperature_c=70.0)),
        "c",
        "ordinary_terminals",
        "deg C",
        (),
        (),
    ),
]


@pytest.mark.parametrize("each", CASES, ids=name_of)
def test_a_verdict_carries_its_unit_its_terms_and_what_it_depends_on(each: Carried) -> None:
    check_carried(each)
