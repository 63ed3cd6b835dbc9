"""OC-05 and OC-06: passing, failing, on the limit, undetermined; expected values by hand."""

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
    rcbo,
    rccb,
    verdicts,
)
from trainer.domain.cables import Cable, CableType
from trainer.domain.devices import Device
from trainer.domain.findings import Verdict
from trainer.domain.rules import withstand
from trainer.domain.rules.registry import Rule
from trainer.domain.supply import Earthing
from trainer.domain.vocabulary import Curve, EarthingSystem, Outcome, ResidualDelay

LIVE, PROTECTIVE = withstand.RULES
PASS, FAIL, UNKNOWN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.UNDETERMINED


def judged(rule: Rule, device: Device, run: Cable | None = None, ring: bool = False, **facts: Any) -> Verdict:
    return verdicts(rule, house(device, circuit("c", "b", cable=run or cable(), ring=ring), **facts))["c"]


def terms(verdict: Verdict) -> dict[str, float]:
    return {t.name: t.value for t in (verdict.terms() if callable(verdict.terms) else verdict.terms)}


def fault_current(ka: float | None) -> dict[str, Any]:
    return {"supply": everyday_supply(prospective_fault_current_ka=ka)}


# OC-05


def test_a_device_against_overload_also_protects_against_faults() -> None:
    verdict = judged(LIVE, breaker("b", rated_current_a=27.0))
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (PASS, "overload_device", 27.0, 27.0)


def test_a_ring_is_protected_by_its_device_of_32_a() -> None:
    # A ring's own condition (433.1.204, from memory): its cable carries at least 20 A behind a device of 32 A;
    # 2.5 mm2 clipped direct carries 27 A (Table 4D5, from memory).
    verdict = judged(LIVE, breaker("b"), ring=True)
    assert (verdict.outcome, verdict.case) == (PASS, "ring")
    assert (verdict.value, verdict.limit, verdict.unit, verdict.related) == (27.0, 20.0, "A", ("devices.b",))
    assert judged(LIVE, breaker("b", rated_current_a=20.0), ring=True).case == "overload_device"
    assert judged(LIVE, breaker("b", rated_current_a=40.0), ring=True, **fault_current(10.0)).case == "adiabatic"
    thin = cable(reference_method="101")
    assert judged(LIVE, breaker("b"), thin, ring=True, **fault_current(10.0)).case == "adiabatic"


def test_a_breaker_above_the_cable_is_judged_by_its_energy() -> None:
    # Loop: 230 V / 1 kA = 0.23; 2 x 7.41 x 1.2 x 20 / 1000 = 0.35568; I = 218.5 / 0.58568 = 373.07 A
    # I^2 x 0.1 s = 13 918 A2s; sqrt / 115 = 1.0259 mm2
    verdict = judged(LIVE, breaker("b"), **fault_current(1.0))
    assert (verdict.outcome, verdict.case, verdict.value) == (PASS, "adiabatic", 2.5)
    assert verdict.limit == pytest.approx(1.0259, abs=1e-3)
    assert terms(verdict)["fault_current"] == pytest.approx(373.07, abs=0.01)


def test_a_fuse_of_100_a_burns_a_thin_cable() -> None:
    # BS 88-3, 100 A: Ia(5 s) = 218.5 / 0.38 = 575 A, energy 1 653 125 A2s, 11.18 mm2. With 16 kA before it:
    # 0.014375 + 0.35568 = 0.37006 ohm, 590 A reaches 575 A.
    verdict = judged(LIVE, fuse("b", standard="BS 88-3", rated_current_a=100.0), **fault_current(16.0))
    assert (verdict.outcome, verdict.case) == (FAIL, "adiabatic")
    assert verdict.limit == pytest.approx(11.18, abs=5e-3)


def test_a_device_that_the_fault_does_not_reach_fails() -> None:
    # 0.23 + 0.35568 ohm: 373 A is less than the 575 A that the fuse needs
    verdict = judged(LIVE, fuse("b", standard="BS 88-3", rated_current_a=100.0), **fault_current(1.0))
    assert (verdict.outcome, verdict.case, verdict.unit) == (FAIL, "not_cleared", "A")
    assert verdict.value == pytest.approx(373.07, abs=0.01)


def test_a_circuit_without_its_own_device_is_not_judged() -> None:
    assert verdicts(LIVE, house(circuit("c", BOARD))) == {}
    assert verdicts(PROTECTIVE, house(circuit("c", BOARD))) == {}


@pytest.mark.parametrize(
    ("run", "facts", "path"),
    [
        (cable(), fault_current(None), "supply.prospective_fault_current_ka"),
        (cable(reference_method="B"), {}, "circuits.c.cable.reference_method"),
    ],
)
def test_withstand_is_undetermined_without(run: Cable, facts: dict[str, Any], path: str) -> None:
    verdict = judged(LIVE, breaker("b"), run, **facts)
    assert (verdict.outcome, verdict.missing) == (UNKNOWN, (path,))


def test_both_rules_are_undetermined_without_a_cable() -> None:
    home = house(breaker("b"), circuit("c", "b", cable=None))
    assert verdicts(LIVE, home)["c"].missing == ("circuits.c.cable",)
    assert verdicts(PROTECTIVE, home)["c"].missing == ("circuits.c.cable",)


# OC-06


@pytest.mark.parametrize(("line", "protective"), [(2.5, 2.5), (25.0, 16.0), (2.5, 4.0)])
def test_the_table_needs_no_calculation(line: float, protective: float) -> None:
    run = cable(cross_section_mm2=line, protective_conductor_mm2=protective)
    verdict = judged(PROTECTIVE, breaker("b", curve=None), run)
    assert (verdict.outcome, verdict.case, verdict.value) == (PASS, "table", protective)


def test_a_reduced_conductor_withstands_the_fault_by_calculation() -> None:
    # Zs = 0.81824 ohm, I = 281.09 A, I^2 x 0.1 = 7901 A2s, sqrt / 115 = 0.7729 mm2
    verdict = judged(PROTECTIVE, breaker("b"))
    assert (verdict.outcome, verdict.case, verdict.value) == (PASS, "adiabatic", 1.5)
    assert verdict.limit == pytest.approx(0.7729, abs=1e-3)
    assert terms(verdict)["fault_current"] == pytest.approx(281.09, abs=0.01)


def test_near_the_origin_the_sizes_of_guidance_hold_below_a_breaker() -> None:
    # 1 m of 2.5/1.5 at Ze 0.1: Zs = 0.1234 ohm, 1864 A: by I^2 t 5.1 mm2, by the guide 1.5 mm2 up to 3 kA
    short = cable(length_m=1.0)
    supply = everyday_supply(external_earth_fault_loop_impedance_ohm=0.1)
    verdict = judged(PROTECTIVE, breaker("b"), short, supply=supply)
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (PASS, "breaker_table", 1.5, 1.5)


def test_above_3_ka_guidance_is_silent() -> None:
    supply = everyday_supply(external_earth_fault_loop_impedance_ohm=0.05)
    verdict = judged(PROTECTIVE, breaker("b"), cable(length_m=1.0), supply=supply)
    assert (verdict.outcome, verdict.case) == (FAIL, "adiabatic")


def test_a_fuse_too_large_for_the_protective_conductor_fails() -> None:
    # BS 88-2, 63 A, Zs 0.48241 ohm, 476.8 A; 5 s from 280.1 A on: 392 346 A2s, 5.447 mm2
    run = cable(cross_section_mm2=10.0, protective_conductor_mm2=4.0, length_m=17.135)
    verdict = judged(PROTECTIVE, fuse("b", standard="BS 88-2", rated_current_a=63.0), run)
    assert (verdict.outcome, verdict.case, verdict.value) == (FAIL, "adiabatic", 4.0)
    assert verdict.limit == pytest.approx(5.447, abs=1e-3)


def test_a_residual_current_device_shortens_the_fault() -> None:
    # Curve D, 32 A, needs 218.5 / 0.34 = 643 A; I = 281.09 A for 0.04 s: 3160 A2s, 0.4889 mm2
    verdict = judged(PROTECTIVE, rcbo("b", curve=Curve.D))
    assert (verdict.outcome, verdict.case) == (PASS, "by_rcd")
    assert verdict.limit == pytest.approx(0.4889, abs=1e-3)


def test_a_device_that_may_be_faster_is_asked_for_where_the_known_one_is_too_slow() -> None:
    # Zs = 0.35 + 1.4 m x 19.51 mohm/m x 1.2 = 0.3828 ohm: 600.9 A, below the 643 A of curve D. A device of type S
    # opens within 0.15 s at five times its rating (BS EN 61009-1): 54 157 A2s, 232.7 / 115 = 2.024 mm2 against 1.5.
    slow = rcbo("b", "A", 100.0, curve=Curve.D, residual_delay=ResidualDelay.S, fed_by="first")
    run = cable(length_m=1.4)
    known = rccb("first", "A", 300.0, residual_delay=ResidualDelay.S)
    failing = verdicts(PROTECTIVE, house(known, slow, circuit("c", "b", cable=run)))["c"]
    assert (failing.outcome, failing.case) == (FAIL, "by_rcd")
    assert failing.limit == pytest.approx(2.024, abs=1e-3)
    unknown = rccb("first", "A", None)
    verdict = verdicts(PROTECTIVE, house(unknown, slow, circuit("c", "b", cable=run)))["c"]
    assert (verdict.outcome, verdict.missing) == (UNKNOWN, ("devices.first.rated_residual_operating_current_ma",))


def test_in_tt_little_current_flows() -> None:
    # 230 V / 100.178 ohm = 2.296 A for 0.04 s
    earthing = Earthing(electrode_resistance_ohm=100.0)
    verdict = judged(PROTECTIVE, rcbo("b"), system=EarthingSystem.TT, earthing=earthing)
    assert (verdict.outcome, verdict.case) == (PASS, "by_rcd")
    assert verdict.limit == pytest.approx(0.004, abs=1e-3)


def test_where_nothing_disconnects_other_rules_speak() -> None:
    assert verdicts(PROTECTIVE, house(breaker("b", curve=Curve.D), circuit("c", "b"))) == {}


def test_an_armour_counts_with_its_own_area() -> None:
    # 2.5 mm2, 2 cores: 138 / 8.8 = 15.68 mm2 of steel, k 51
    run = cable(type=CableType.ARMOURED_THERMOPLASTIC_70, protective_conductor_mm2=None)
    verdict = judged(PROTECTIVE, breaker("b"), run)
    assert (verdict.outcome, verdict.case, verdict.value) == (PASS, "adiabatic", pytest.approx(15.68, abs=5e-3))
    assert terms(verdict)["k"] == 51.0


@pytest.mark.parametrize(
    ("device", "run", "path"),
    [
        (breaker("b", curve=None), cable(), "devices.b.curve"),
        (fuse("b"), cable(), "devices.b.standard"),
        (breaker("b"), cable(protective_conductor_mm2=None), "circuits.c.cable.protective_conductor_mm2"),
    ],
)
def test_the_protective_conductor_is_undetermined_without(device: Device, run: Cable, path: str) -> None:
    verdict = judged(PROTECTIVE, device, run)
    assert (verdict.outcome, verdict.missing) == (UNKNOWN, (path,))
