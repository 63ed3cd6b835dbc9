"""Unit, related records and terms that the verdicts of overcurrent, cable and supply rules carry, case by case."""

from __future__ import annotations

from typing import Any

import pytest

from tests.domain.houses import (
    BOARD,
    MAIN_SWITCH,
    breaker,
    cable,
    charger,
    circuit,
    everyday_supply,
    fuse,
    heat_pump,
    house,
    inverter,
    item,
    rcbo,
    rccb,
    switch,
    verdicts,
)
from trainer.domain.cables import CableType
from trainer.domain.devices import Board
from trainer.domain.installation import Installation, Network
from trainer.domain.notices import LoadRoute
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.supply import Earthing
from trainer.domain.vocabulary import Curve, EarthingSystem, Premises

BY_ID = {rule.id: rule for rule in ALL_RULES}
LOAD = item("i", "c")
FACTORS = (
    ("tabulated_rating", "A"),
    ("ambient_factor", ""),
    ("grouping_factor", ""),
    ("insulation_factor", ""),
    ("buried_factor", ""),
)
LOOP = (
    ("external_earth_fault_loop_impedance", "ohm"),
    ("line_conductor_resistance", "ohm"),
    ("protective_conductor_resistance", "ohm"),
)
TT_LOOP = (("earth_electrode_resistance", "ohm"), ("line_conductor_resistance", "ohm"))
FAULT = (("fault_current", "A"), ("energy", "A2s"))


def wired(
    device: Any, *records: Any, run: Any = None, circuit_facts: dict[str, Any] | None = None, **facts: Any
) -> Any:
    return house(device, circuit("c", "b", **({"cable": run or cable()} | (circuit_facts or {}))), *records, **facts)


def with_fault_current(ka: float, **facts: Any) -> Any:
    return everyday_supply(prospective_fault_current_ka=ka, **facts)


def in_tt(device: Any, ohm: float = 100.0) -> Installation:
    return wired(device, system=EarthingSystem.TT, earthing=Earthing(electrode_resistance_ohm=ohm))


def of_earth(size: float, **facts: Any) -> Installation:
    supply = everyday_supply(EarthingSystem.TN_S, external_earth_fault_loop_impedance_ohm=0.2)
    earthing = Earthing(earthing_conductor_mm2=size, main_bonding_mm2=10.0, extraneous_parts=True)
    return house(Board(id=BOARD, tails_mm2=25.0), supply=supply, earthing=earthing, **facts)


HOT = cable(type=CableType.ARMOURED_THERMOSETTING_90, cross_section_mm2=4.0)
PV = (breaker("b"), circuit("c", "b"), inverter("pv", "c"))
NOTIFIED = {
    "network": Network(load_route=LoadRoute.NOTIFY),
    "supply": everyday_supply(looped=False, declared_adequate=True),
}
POINT = (breaker("b"), circuit("c", "b"), charger("ev", "c"))

CASES: list[tuple[str, Installation, str, str, str, tuple[str, ...], tuple[tuple[str, str], ...]]] = [
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


@pytest.mark.parametrize(
    ("rule_id", "home", "subject", "case", "unit", "related", "terms"),
    CASES,
    ids=[f"{each[0]}-{each[3]}" for each in CASES],
)
def test_a_verdict_carries_its_unit_its_terms_and_what_it_depends_on(
    rule_id: str,
    home: Installation,
    subject: str,
    case: str,
    unit: str,
    related: tuple[str, ...],
    terms: tuple[tuple[str, str], ...],
) -> None:
    verdict = verdicts(BY_ID[rule_id], home)[subject]
    spelt_out = verdict.terms() if callable(verdict.terms) else verdict.terms
    assert verdict.case == case
    assert verdict.unit == unit
    assert verdict.related == related
    assert tuple((term.name, term.unit) for term in spelt_out) == terms


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
