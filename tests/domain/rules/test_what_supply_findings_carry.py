"""Unit, related records and terms that the verdicts on boards, supply, earthing and tests carry, case by case."""

from __future__ import annotations

from typing import Any

import pytest

from tests.domain.houses import (
    BOARD,
    MAIN_SWITCH,
    breaker,
    charger,
    circuit,
    everyday_supply,
    heat_pump,
    house,
    inverter,
    item,
    rcbo,
    rccb,
    switch,
    verdicts,
)
from tests.domain.rules.carrying import (
    BY_ID,
    FAULT,
    Carried,
    check_carried,
    name_of,
    wired,
    with_fault_current,
)
from trainer.domain.devices import Board
from trainer.domain.installation import Installation, Network
from trainer.domain.notices import LoadRoute
from trainer.domain.supply import Earthing
from trainer.domain.vocabulary import EarthingSystem, Premises

LOAD = item("i", "c")


def of_earth(size: float, **facts: Any) -> Installation:
    supply = everyday_supply(EarthingSystem.TN_S, external_earth_fault_loop_impedance_ohm=0.2)
    earthing = Earthing(earthing_conductor_mm2=size, main_bonding_mm2=10.0, extraneous_parts=True)
    return house(Board(id=BOARD, tails_mm2=25.0), supply=supply, earthing=earthing, **facts)


PV = (breaker("b"), circuit("c", "b"), inverter("pv", "c"))
NOTIFIED = {
    "network": Network(load_route=LoadRoute.NOTIFY),
    "supply": everyday_supply(looped=False, declared_adequate=True),
}
POINT = (breaker("b"), circuit("c", "b"), charger("ev", "c"))

CASES: list[Carried] = [
    ("RAT-01", house(switch()), MAIN_SWITCH, "upstream_device", "A", ("supply",), ()),
    (
        "RAT-01",
        wired(rccb("b", declared_load_current_a=100.0), breaker("x")),
        "b",
        "declared",
        "A",
        ("supply",),
        (),
    ),
    (
        "RAT-01",
        house(rccb("r"), breaker("b", fed_by="r"), circuit("c", "b")),
        "r",
        "downstream_devices",
        "A",
        (),
        (("b", "A"),),
    ),
    ("RAT-01", wired(rccb("b")), "b", "unprotected", "A", ("supply",), ()),
    (
        "RAT-02",
        house(Board(id=BOARD, rated_current_a=125.0), *PV),
        BOARD,
        "both_ends",
        "A",
        ("equipment.pv",),
        (("supply_device", "A"), ("sources", "A")),
    ),
    (
        "RAT-03",
        house(Board(id=BOARD, ways=4), switch(modules=2)),
        BOARD,
        "modules",
        "modules",
        (),
        ((MAIN_SWITCH, "modules"),),
    ),
    (
        "BON-01",
        house(
            supply=everyday_supply(neutral_mm2=25.0), earthing=Earthing(extraneous_parts=True, main_bonding_mm2=10.0)
        ),
        "installation",
        "pme",
        "mm2",
        (),
        (),
    ),
    ("BON-01", of_earth(16.0), "installation", "by_earthing_conductor", "mm2", (), ()),
    ("BON-02", of_earth(16.0), "installation", "table", "mm2", (), ()),
    ("BON-02", of_earth(10.0), "installation", "adiabatic", "mm2", (), FAULT),
    (
        "BON-02",
        house(supply=everyday_supply(neutral_mm2=25.0), earthing=Earthing(earthing_conductor_mm2=6.0)),
        "installation",
        "pme",
        "mm2",
        (),
        (),
    ),
    (
        "SUP-01",
        house(Board(id=BOARD, tails_length_m=1.0, tails_mm2=25.0), supply=everyday_supply(fuse_rated_current_a=160.0)),
        BOARD,
        "fuse_not_tabulated",
        "",
        (),
        (),
    ),
    ("SUP-02", wired(breaker("b")), "b", "service_fuse", "", ("supply",), ()),
    ("OC-12", house(stated_maximum_demand_a=50.0), "installation", "stated", "A", (), ()),
    ("OC-12", wired(breaker("b"), LOAD), "installation", "with_diversity", "A", (), (("heating_and_power", "A"),)),
    (
        "OC-12",
        wired(breaker("b"), LOAD, premises=Premises.COMMERCIAL),
        "installation",
        "without_diversity",
        "A",
        (),
        (("heating_and_power", "A"),),
    ),
    ("DNO-01", house(*POINT, **NOTIFIED), "installation", "demand", "A", (), (("charger", "A"),)),
    (
        "VER-03",
        house(supply=with_fault_current(2.0)),
        "installation",
        "known",
        "kA",
        (),
        (),
    ),
    (
        "VER-03",
        house(Board(id=BOARD, conditional_rating_ka=16.0)),
        "installation",
        "declared",
        "kA",
        (),
        (),
    ),
    (
        "OC-03",
        wired(breaker("b"), circuit_facts={"measured_earth_fault_loop_impedance_ohm": 1.0}),
        "c",
        "accepted",
        "ohm",
        (),
        (),
    ),
    (
        "OC-03",
        wired(breaker("b"), circuit_facts={"measured_earth_fault_loop_impedance_ohm": 2.0}),
        "c",
        "table",
        "ohm",
        (),
        (),
    ),
    (
        "OC-03",
        wired(rcbo("b"), circuit_facts={"measured_earth_fault_loop_impedance_ohm": 2.0}),
        "c",
        "above_table",
        "ohm",
        (),
        (),
    ),
    (
        "OC-03",
        wired(rcbo("b"), circuit_facts={"measured_earth_fault_loop_impedance_ohm": 2000.0}),
        "c",
        "by_rcd",
        "ohm",
        (),
        (),
    ),
    (
        "ISO-01",
        house(switch(isolates=False)),
        BOARD,
        "not_for_isolation",
        "",
        ("devices.main_switch",),
        (),
    ),
    ("ISO-01", house(), BOARD, "poles", "poles", ("devices.main_switch",), ()),
    ("ISO-02", house(*PV), "installation", "notice", "", (), ()),
    ("CAS-01", house(*PV), "installation", "assessed", "", (), ()),
    (
        "HP-05",
        house(breaker("b"), circuit("c", "b"), heat_pump("hp", "c", maker_maximum_overcurrent_device_a=32.0)),
        "hp",
        "maximum_device",
        "A",
        ("devices.b",),
        (),
    ),
    (
        "HP-05",
        house(breaker("b"), circuit("c", "b"), heat_pump("hp", "c", maker_minimum_circuit_current_a=32.0)),
        "hp",
        "minimum_circuit_current",
        "A",
        ("devices.b",),
        (),
    ),
    (
        "HP-05",
        house(Board(id=BOARD, rated_diversity_factor=0.8), breaker("b"), circuit("c", "b"), heat_pump("hp", "c")),
        "hp",
        "rated_diversity",
        "A",
        ("devices.b",),
        (),
    ),
]


@pytest.mark.parametrize("each", CASES, ids=name_of)
def test_a_verdict_carries_its_unit_its_terms_and_what_it_depends_on(each: Carried) -> None:
    check_carried(each)


def test_generation_is_named_by_its_sources() -> None:
    home = house(
        breaker("b"),
        circuit("c", "b"),
        inverter("pv", "c", type_tested=True),
        network=Network(generation_route="G98"),
    )
    verdict = verdicts(BY_ID["DNO-02"], home)["installation"]
    assert verdict.unit == "A"
    assert [(term.name, term.unit) for term in verdict.terms()] == [("pv", "A")]  # type: ignore[operator]
