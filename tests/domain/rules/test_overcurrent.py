"""OC-01, OC-02, OC-04, OC-07: passing, failing, on the limit, undetermined; expected values by hand."""

from __future__ import annotations

from typing import Any

import pytest

from tests.domain.houses import (
    BOARD,
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
    verdicts,
)
from trainer.domain.cables import Cable, CableType
from trainer.domain.calculations.residual import break_time_s
from trainer.domain.devices import Board
from trainer.domain.equipment import ChargerEarthing, EquipmentKind, SourceKind
from trainer.domain.findings import Verdict
from trainer.domain.installation import Installation
from trainer.domain.limits import limits_for
from trainer.domain.rules import overcurrent
from trainer.domain.supply import Earthing
from trainer.domain.vocabulary import DEFAULT_EDITION, Curve, EarthingSystem, Outcome, ResidualDelay

COORDINATION, LOOP, IN_TIME, BREAKING = overcurrent.RULES
PASS, FAIL, ADVICE, UNKNOWN = (
    Outcome.COMPLIES,
    Outcome.DOES_NOT_COMPLY,
    Outcome.ADVICE,
    Outcome.UNDETERMINED,
)


def terms(verdict: Verdict) -> dict[str, float]:
    return {t.name: t.value for t in (verdict.terms() if callable(verdict.terms) else verdict.terms)}


# OC-01


def coordinated(*records: Any, **facts: Any) -> Verdict:
    return verdicts(COORDINATION, house(*records, **facts))["c"]


def test_a_20_a_breaker_between_10_a_and_27_a_complies() -> None:
    verdict = coordinated(breaker("b", rated_current_a=20.0), circuit("c", "b"), item("i", "c"))
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (PASS, "cable", 20.0, 27.0)
    assert terms(verdict)["design_current"] == 10.0
    assert terms(verdict)["tabulated_rating"] == 27.0
    assert verdict.related == ("devices.b",)


def test_a_32_a_breaker_does_not_protect_a_cable_of_27_a() -> None:
    verdict = coordinated(breaker("b"), circuit("c", "b"), item("i", "c"))
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (FAIL, "cable", 32.0, 27.0)


def test_a_load_above_the_device_fails_for_the_design_current() -> None:
    verdict = coordinated(breaker("b", rated_current_a=20.0), circuit("c", "b"), item("i", "c", rated_current_a=20.1))
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (FAIL, "design_current", 20.1, 20.0)


def test_a_design_current_equal_to_the_rating_and_to_the_capacity_complies() -> None:
    # 4 mm2 flat, method 100 in the table: 27 A; grouped with one circuit 27 x 0.80 = 21.6 A; here 20 A = 20 A = 20 A
    run = cable(cross_section_mm2=2.5, reference_method="A")
    verdict = coordinated(breaker("b", rated_current_a=20.0), circuit("c", "b", cable=run, design_current_a=20.0))
    assert (verdict.outcome, verdict.value, verdict.limit) == (PASS, 20.0, 20.0)


def test_correction_factors_lower_the_capacity() -> None:
    # 27 A x 0.70 for three circuits bunched = 18.9 A
    run = cable(grouped_with=2)
    verdict = coordinated(breaker("b", rated_current_a=20.0), circuit("c", "b", cable=run), item("i", "c"))
    assert (verdict.outcome, verdict.limit) == (FAIL, pytest.approx(18.9))
    assert terms(verdict)["grouping_factor"] == 0.7


def test_the_current_follows_from_power_where_no_current_is_stated() -> None:
    # 4600 W / 230 V = 20 A
    load = item("i", "c", rated_current_a=None, rated_power_w=4600.0)
    assert coordinated(breaker("b", rated_current_a=20.0), circuit("c", "b"), load).outcome is PASS
    assert coordinated(breaker("b", rated_current_a=16.0), circuit("c", "b"), load).case == "design_current"


def test_a_three_phase_load_shares_its_power_among_the_lines() -> None:
    # 13.8 kW / (3 x 230 V) = 20 A in each line
    load = item("i", "c", rated_current_a=None, rated_power_w=13800.0, phases=3)
    run = cable(type=CableType.MULTICORE_THERMOPLASTIC_70)
    home = (breaker("b", poles=4, rated_current_a=20.0), circuit("c", "b", cable=run, phases=3), load)
    verdict = coordinated(*home, phases=3)
    assert (verdict.outcome, terms(verdict)["design_current"]) == (PASS, 20.0)


@pytest.mark.parametrize(
    ("facts", "outcome"),
    [
        ({}, FAIL),
        ({"load_limit_a": 16.0, "load_limit_fail_safe": True}, PASS),
        ({"load_limit_a": 16.0, "load_limit_fail_safe": False}, FAIL),
        ({"load_limit_a": 16.0}, FAIL),
    ],
)
def test_a_charger_counts_in_full_unless_its_limit_fails_safe(facts: dict[str, Any], outcome: Outcome) -> None:
    # 722.311
    verdict = coordinated(breaker("b", rated_current_a=16.0), circuit("c", "b"), charger("ev", "c", **facts))
    assert verdict.outcome is outcome


def test_every_point_of_a_charger_counts() -> None:
    point = charger("ev", "c", points=2, rated_current_a=16.0)
    assert coordinated(breaker("b", rated_current_a=20.0), circuit("c", "b"), point).value == 32.0


def test_a_source_loads_its_circuit_with_what_it_delivers_or_draws() -> None:
    fed = (breaker("b", rated_current_a=20.0), circuit("c", "b"))
    assert terms(coordinated(*fed, inverter("pv", "c", rated_current_a=16.0)))["design_current"] == 16.0
    storage = inverter("bat", "c", SourceKind.BATTERY, rated_current_a=16.0, charging_current_a=18.0)
    assert terms(coordinated(*fed, storage))["design_current"] == 18.0


def test_a_circuit_of_outlets_may_be_loaded_up_to_its_device() -> None:
    outlets = circuit("c", "b", socket_outlets=True)
    verdict = coordinated(breaker("b", rated_current_a=20.0), outlets, item("tv", "c", plug_in=True))
    assert (verdict.outcome, terms(verdict)["design_current"]) == (PASS, 20.0)


def test_a_cooker_of_52_a_fits_a_32_a_circuit_by_its_diversity() -> None:
    # 12 kW / 230 V = 52.2 A: 10 + 0.3 x 42.2 = 22.65 A; with a socket-outlet at the control unit 27.65 A
    fed = (breaker("b"), circuit("c", "b", cable=cable(cross_section_mm2=6.0, protective_conductor_mm2=2.5)))
    cooker = item("hob", "c", EquipmentKind.HOB, rated_current_a=None, rated_power_w=12000.0)
    assert terms(coordinated(*fed, cooker))["design_current"] == pytest.approx(22.652, abs=1e-3)
    with_outlet = (fed[0], circuit("c", "b", cable=fed[1].cable, socket_outlets=True))
    assert terms(coordinated(*with_outlet, cooker))["design_current"] == pytest.approx(27.652, abs=1e-3)


@pytest.mark.parametrize(
    ("ring_facts", "rated_a", "outcome", "capacity"),
    [
        ({}, 32.0, PASS, 27.0),
        ({"reference_method": "A"}, 32.0, PASS, 20.0),
        ({"reference_method": "101"}, 32.0, FAIL, 17.0),
        ({}, 40.0, FAIL, 27.0),
    ],
)
def test_a_ring_needs_a_cable_of_20_a_on_at_most_32_a(
    ring_facts: dict[str, Any], rated_a: float, outcome: Outcome, capacity: float
) -> None:
    # 433.1.204, from memory
    ring = circuit("c", "b", cable=cable(**ring_facts), ring=True, socket_outlets=True)
    verdict = coordinated(breaker("b", rated_current_a=rated_a), ring)
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (outcome, "ring", capacity, 20.0)


def test_a_rewirable_fuse_needs_more_cable() -> None:
    # 0.725 x 27 A = 19.575 A
    fed = (circuit("c", "b"), item("i", "c"))
    verdict = coordinated(fuse("b", standard="BS 3036", rated_current_a=20.0), *fed)
    assert (verdict.outcome, verdict.case, verdict.limit) == (FAIL, "rewirable_fuse", pytest.approx(19.575))
    assert coordinated(fuse("b", standard="BS 3036", rated_current_a=15.0), *fed).outcome is PASS
    assert coordinated(fuse("b", standard="BS 88-3", rated_current_a=20.0), *fed).case == "cable"


def test_a_circuit_without_a_device_relies_on_the_service_fuse() -> None:
    fed = (circuit("c", BOARD), item("i", "c"))
    verdict = coordinated(*fed)
    assert (verdict.outcome, verdict.case, verdict.value) == (FAIL, "service_fuse", 100.0)
    unknown = coordinated(*fed, supply=everyday_supply(fuse_rated_current_a=None))
    assert (unknown.outcome, unknown.missing) == (UNKNOWN, ("supply.fuse_rated_current_a",))


def test_a_distribution_circuit_carries_the_demand_beyond_it() -> None:
    # Heat pump 20 A and charger 32 A on one line: 52 A
    feeder = circuit("c", "b", cable=cable(cross_section_mm2=10.0, protective_conductor_mm2=4.0))
    verdict = coordinated(
        breaker("b", rated_current_a=50.0),
        feeder,
        Board(id="garage", fed_by="c"),
        breaker("g1", board="garage", fed_by="garage"),
        circuit("c1", "g1"),
        charger("ev", "c1"),
        breaker("g2", board="garage", fed_by="garage", rated_current_a=20.0),
        circuit("c2", "g2"),
        heat_pump("hp", "c2", rated_current_a=20.0),
    )
    assert (verdict.case, verdict.value, verdict.limit) == ("design_current", 52.0, 50.0)
    assert terms(verdict) == {"charger": 32.0, "heat_pump": 20.0}


@pytest.mark.parametrize(
    ("records", "path"),
    [
        ((circuit("c", "b"),), "circuits.c.design_current_a"),
        ((circuit("c", "b"), item("i", "c", rated_current_a=None)), "equipment.i.rated_current_a"),
        ((circuit("c", "b", cable=None), item("i", "c")), "circuits.c.cable"),
        ((circuit("c", "b", cable=cable(reference_method="B")), item("i", "c")), "circuits.c.cable.reference_method"),
    ],
)
def test_coordination_is_undetermined_without(records: tuple[Any, ...], path: str) -> None:
    verdict = coordinated(breaker("b"), *records)
    assert (verdict.outcome, verdict.missing) == (UNKNOWN, (path,))


# OC-02


def loop(*records: Any, **facts: Any) -> Verdict:
    return verdicts(LOOP, house(*records, **facts))["c"]


def at_impedance(ze: float) -> Any:
    """A supply after which 20 m of 2.5/1.5 mm2 flat add 0.46824 ohm by hand."""
    return everyday_supply(external_earth_fault_loop_impedance_ohm=ze)


def test_a_loop_below_the_table_complies_and_shows_its_sum() -> None:
    verdict = loop(breaker("b"), circuit("c", "b"))
    assert (verdict.outcome, verdict.case, verdict.limit) == (PASS, "breaker_table", 1.37)
    assert verdict.value == pytest.approx(0.81824)
    assert sum(terms(verdict).values()) == pytest.approx(0.81824)


@pytest.mark.parametrize(("ze", "outcome"), [(0.90176, PASS), (0.90177, FAIL)])
def test_a_loop_of_exactly_the_tabulated_impedance_complies(ze: float, outcome: Outcome) -> None:
    # 0.90176 + 0.46824 = 1.37 ohm for curve B, 32 A
    assert loop(breaker("b"), circuit("c", "b"), supply=at_impedance(ze)).outcome is outcome


def test_curve_c_needs_half_the_impedance_of_curve_b() -> None:
    verdict = loop(breaker("b", curve=Curve.C), circuit("c", "b"))
    assert (verdict.outcome, verdict.limit) == (FAIL, 0.68)


def test_a_fuse_is_judged_by_its_own_table_and_time() -> None:
    verdict = loop(fuse("b", standard="BS 88-3"), circuit("c", "b"))
    assert (verdict.outcome, verdict.case, verdict.limit) == (PASS, "fuse_table", 0.91)


def test_a_fixed_circuit_above_32_a_has_five_seconds() -> None:
    verdict = loop(fuse("b", standard="BS 88-3", rated_current_a=45.0), circuit("c", "b"))
    assert verdict.limit == 1.0
    outlets = loop(fuse("b", standard="BS 88-3", rated_current_a=45.0), circuit("c", "b", socket_outlets=True))
    assert outlets.outcome is UNKNOWN


def test_a_residual_current_device_may_take_over_fault_protection() -> None:
    # 50 V / 0.03 A = 1667 ohm
    verdict = loop(rcbo("b", curve=Curve.D), circuit("c", "b"))
    assert (verdict.outcome, verdict.case, verdict.limit) == (PASS, "by_rcd", pytest.approx(1666.667, abs=1e-3))
    assert verdict.related == ("devices.b",)


def test_a_residual_current_device_is_not_named_where_the_overcurrent_device_does() -> None:
    assert loop(rcbo("b"), circuit("c", "b")).case == "breaker_table"


def test_a_residual_current_device_whose_loop_is_too_high_does_not_help() -> None:
    # 50 V / 0.5 A = 100 ohm
    high = at_impedance(100.0)
    verdict = loop(rcbo("b", rating_ma=500.0), circuit("c", "b"), supply=high)
    assert (verdict.outcome, verdict.case) == (FAIL, "breaker_table")


def test_curve_d_at_five_seconds_is_advice_where_the_tables_disagree() -> None:
    # Curve D, 40 A, fixed equipment: 0.27 ohm by one reading, 0.55 ohm by another; 0.05 + 0.46824 = 0.518 ohm
    fed = (breaker("b", curve=Curve.D, rated_current_a=40.0), circuit("c", "b"))
    verdict = loop(*fed, supply=at_impedance(0.05))
    assert (verdict.outcome, verdict.case, verdict.limit) == (ADVICE, "disputed_table", 0.55)
    assert verdict.citation is not None
    assert verdict.citation.status.value == "public texts disagree"
    assert loop(*fed, supply=at_impedance(0.09)).outcome is FAIL


def test_curve_d_within_the_short_time_has_one_reading_only() -> None:
    assert loop(breaker("b", curve=Curve.D), circuit("c", "b"), supply=at_impedance(0.05)).outcome is FAIL


def test_the_rule_is_silent_in_tt_for_separate_earths_and_without_a_device() -> None:
    fed = (breaker("b"), circuit("c", "b"))
    own = charger("ev", "c", earthing=ChargerEarthing.OWN_TT_ELECTRODE)
    separated = charger("ev", "c", earthing=ChargerEarthing.ELECTRICAL_SEPARATION)
    silent = [house(*fed, system=EarthingSystem.TT), house(*fed, own), house(*fed, separated)]
    silent.append(house(circuit("c", BOARD)))
    assert [verdicts(LOOP, home) for home in silent] == [{}, {}, {}, {}]


@pytest.mark.parametrize(
    ("facts", "device", "path"),
    [
        ({"system": None}, {}, "supply.earthing_system"),
        ({}, {"curve": None}, "devices.b.curve"),
        (
            {"supply": everyday_supply(external_earth_fault_loop_impedance_ohm=None)},
            {},
            "supply.external_earth_fault_loop_impedance_ohm",
        ),
    ],
)
def test_the_loop_is_undetermined_without(facts: dict[str, Any], device: dict[str, Any], path: str) -> None:
    verdict = loop(breaker("b", **device), circuit("c", "b"), **facts)
    assert (verdict.outcome, verdict.missing) == (UNKNOWN, (path,))


def test_an_unknown_residual_rating_matters_only_where_it_is_needed() -> None:
    fed = circuit("c", "b")
    assert loop(rcbo("b", rating_ma=None), fed).outcome is PASS
    verdict = loop(rcbo("b", rating_ma=None, curve=Curve.D), fed)
    assert verdict.missing == ("devices.b.rated_residual_operating_current_ma",)


# OC-04


def tt(*records: Any, ohm: float | None = 100.0, **facts: Any) -> Installation:
    earthing = Earthing(electrode_resistance_ohm=ohm, extraneous_parts=False)
    return house(*records, system=EarthingSystem.TT, earthing=earthing, **facts)


def in_time(home: Installation) -> Verdict:
    return verdicts(IN_TIME, home)["c"]


def test_in_tn_a_breaker_within_its_loop_clears_at_once() -> None:
    verdict = in_time(house(breaker("b"), circuit("c", "b")))
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (PASS, "by_overcurrent_device", 0.1, 0.4)


def test_a_fuse_promises_its_tabulated_time() -> None:
    verdict = in_time(house(fuse("b", standard="BS 88-3"), circuit("c", "b")))
    assert (verdict.outcome, verdict.value, verdict.limit) == (PASS, 0.4, 0.4)


def test_a_fuse_that_needs_five_seconds_leaves_the_verdict_to_the_loop_rule() -> None:
    # BS 88-3, 32 A: 1.218 ohm lies between 0.91 (0.4 s) and 1.6 (5 s)
    home = house(fuse("b", standard="BS 88-3"), circuit("c", "b"), supply=at_impedance(0.75))
    assert verdicts(IN_TIME, home) == {}
    assert verdicts(LOOP, home)["c"].outcome is FAIL


def test_in_tt_without_a_residual_current_device_nothing_disconnects() -> None:
    verdict = in_time(tt(breaker("b"), circuit("c", "b")))
    assert (verdict.outcome, verdict.case, verdict.limit) == (FAIL, "no_rcd", 0.2)


def test_in_tt_a_30_ma_device_acts_within_40_ms_at_the_current_that_flows() -> None:
    # 230 V / (100 + 0.178) ohm = 2.3 A, some 76 times 30 mA
    verdict = in_time(tt(rcbo("b"), circuit("c", "b")))
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (PASS, "by_rcd", 0.04, 0.2)
    assert terms(verdict) == {"earth_electrode_resistance": 100.0, "line_conductor_resistance": pytest.approx(0.17784)}


@pytest.mark.parametrize(
    ("ra", "value", "outcome"),
    [(166.0, 0.2, PASS), (382.0, 0.2, PASS), (384.0, 0.5, FAIL)],
)
def test_in_tt_a_selective_device_keeps_0_2_s_from_twice_its_rating_on(
    ra: float, value: float, outcome: Outcome
) -> None:
    # S type, 300 mA: 0.2 s from 0.6 A on (230 V / 383.2 ohm), 0.5 s below; IEC 61008-1 Table 1
    head = rccb("head", rating_ma=300.0, residual_delay=ResidualDelay.S, fed_by=BOARD)
    verdict = in_time(tt(head, breaker("b"), circuit("c", "b"), ohm=ra))
    assert (verdict.outcome, verdict.case, verdict.value) == (outcome, "by_rcd", value)


def test_a_current_below_the_rating_promises_nothing() -> None:
    # 230 V / 8000 ohm = 28.7 mA
    verdict = in_time(tt(rcbo("b"), circuit("c", "b"), ohm=8000.0))
    assert (verdict.outcome, verdict.case, verdict.limit) == (FAIL, "below_rating", 0.03)
    assert verdict.value == pytest.approx(0.02875, abs=1e-5)


def test_of_two_devices_the_faster_one_counts() -> None:
    head = rccb("head", rating_ma=100.0, residual_delay=ResidualDelay.S, fed_by=BOARD)
    verdict = in_time(tt(head, rcbo("b"), circuit("c", "b")))
    assert (verdict.value, verdict.related) == (0.04, ("devices.b",))


def test_a_device_that_the_current_does_not_reach_gives_way_to_one_that_it_does() -> None:
    # 230 V / 2000 ohm = 115 mA: 300 mA does not act, 30 mA within 0.15 s from twice, 0.3 s from once its rating
    head = rccb("head", rating_ma=300.0, fed_by=BOARD)
    verdict = in_time(tt(head, rcbo("b"), circuit("c", "b"), ohm=2000.0))
    assert (verdict.case, verdict.value, verdict.related) == ("by_rcd", 0.15, ("devices.b",))
    swapped = in_time(tt(rccb("head", fed_by=BOARD), rcbo("b", rating_ma=300.0), circuit("c", "b"), ohm=2000.0))
    assert (swapped.case, swapped.value, swapped.related) == ("by_rcd", 0.15, ("devices.head",))


def test_the_break_time_of_a_step_holds_from_that_step_on() -> None:
    limits = limits_for(DEFAULT_EDITION)
    times = [break_time_s(ResidualDelay.GENERAL, multiple, limits) for multiple in (0.99, 1.0, 1.99, 2.0, 4.99, 5.0)]
    assert times == [None, 0.3, 0.3, 0.15, 0.15, 0.04]


def test_a_charger_on_its_own_electrode_is_judged_as_tt() -> None:
    own = charger("ev", "c", earthing=ChargerEarthing.OWN_TT_ELECTRODE, electrode_resistance_ohm=100.0)
    assert in_time(house(breaker("b"), circuit("c", "b"), own)).case == "no_rcd"
    assert in_time(house(rcbo("b"), circuit("c", "b"), own)).limit == 0.2


def test_a_separated_charger_and_a_circuit_without_device_are_not_judged() -> None:
    separated = charger("ev", "c", earthing=ChargerEarthing.ELECTRICAL_SEPARATION)
    assert verdicts(IN_TIME, house(breaker("b"), circuit("c", "b"), separated)) == {}
    assert verdicts(IN_TIME, house(circuit("c", BOARD))) == {}


@pytest.mark.parametrize(
    ("home", "path"),
    [
        (house(breaker("b"), circuit("c", "b"), system=None), "supply.earthing_system"),
        (tt(rcbo("b"), circuit("c", "b"), ohm=None), "earthing.electrode_resistance_ohm"),
        (tt(rcbo("b", residual_delay=None), circuit("c", "b")), "devices.b.residual_delay"),
        (tt(rcbo("b", rating_ma=None), circuit("c", "b")), "devices.b.rated_residual_operating_current_ma"),
        (house(fuse("b"), circuit("c", "b")), "devices.b.standard"),
    ],
)
def test_disconnection_is_undetermined_without(home: Installation, path: str) -> None:
    verdict = in_time(home)
    assert (verdict.outcome, verdict.missing) == (UNKNOWN, (path,))


# OC-07


def breaks(*records: Any, of: str = "b", **facts: Any) -> Verdict:
    return verdicts(BREAKING, house(*records, **facts))[of]


def with_fault_current(ka: float | None, **facts: Any) -> Any:
    return everyday_supply(prospective_fault_current_ka=ka, **facts)


@pytest.mark.parametrize(("ka", "outcome"), [(5.9, PASS), (6.0, PASS), (6.1, FAIL)])
def test_breaking_capacity_is_at_least_the_prospective_current(ka: float, outcome: Outcome) -> None:
    verdict = breaks(breaker("b", breaking_capacity_ka=6.0), supply=with_fault_current(ka))
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (outcome, "own_capacity", ka, 6.0)


CONSUMER_UNIT = Board(id=BOARD, conditional_rating_ka=16.0)


@pytest.mark.parametrize("ka", [10.0, 16.0, None])
def test_a_conditional_rating_covers_6_ka_devices_up_to_16_ka(ka: float | None) -> None:
    verdict = breaks(CONSUMER_UNIT, breaker("b", breaking_capacity_ka=6.0), supply=with_fault_current(ka))
    assert (verdict.outcome, verdict.case, verdict.limit) == (PASS, "conditional_rating", 16.0)
    assert verdict.value == (16.0 if ka is None else ka)


@pytest.mark.parametrize(
    ("board", "supply"),
    [
        (CONSUMER_UNIT, with_fault_current(16.1)),
        (CONSUMER_UNIT, with_fault_current(10.0, fuse_rated_current_a=125.0)),
        (CONSUMER_UNIT, with_fault_current(10.0, fuse_rated_current_a=None)),
        (CONSUMER_UNIT, with_fault_current(10.0, phases=3)),
        (Board(id=BOARD, conditional_rating_ka=10.0), with_fault_current(10.0)),
        (Board(id=BOARD), with_fault_current(10.0)),
    ],
)
def test_a_conditional_rating_has_its_conditions(board: Board, supply: Any) -> None:
    verdict = breaks(board, breaker("b", breaking_capacity_ka=6.0), supply=supply)
    assert (verdict.outcome, verdict.case) == (FAIL, "own_capacity")


def test_a_fuse_of_exactly_100_a_is_within_the_conditions() -> None:
    supply = with_fault_current(10.0, fuse_rated_current_a=100.0)
    assert breaks(CONSUMER_UNIT, breaker("b", breaking_capacity_ka=6.0), supply=supply).outcome is PASS


def beyond(phases: int) -> Verdict:
    run = Cable(type=CableType.MULTICORE_THERMOPLASTIC_70, cross_section_mm2=16.0, length_m=20.0, reference_method="C")
    return breaks(
        breaker("f", breaking_capacity_ka=20.0, poles=4),
        circuit("sub", "f", cable=run, phases=phases),
        Board(id="garage", fed_by="sub"),
        breaker("b", board="garage", fed_by="garage", breaking_capacity_ka=6.0),
        supply=with_fault_current(16.0, phases=phases),
        phases=phases,
    )


def test_a_board_beyond_a_cable_sees_less_current() -> None:
    # Z = 230 / 16000 = 0.014375 ohm; both conductors 2 x 1.15 x 20 / 1000 = 0.046 ohm; hypotenuse 0.048194; 4.772 kA
    verdict = beyond(1)
    assert (verdict.outcome, verdict.value) == (PASS, pytest.approx(4.7724, abs=1e-3))


def test_in_three_phases_one_conductor_counts() -> None:
    # 0.023 ohm: sqrt(0.014375^2 + 0.023^2) = 0.027123 ohm; 8.480 kA
    verdict = beyond(3)
    assert (verdict.outcome, verdict.value) == (FAIL, pytest.approx(8.480, abs=1e-3))


def test_switches_are_not_judged_by_breaking_capacity() -> None:
    assert verdicts(BREAKING, house(rccb("r"))) == {}


def test_a_cable_outside_the_tables_leaves_the_current_beyond_it_unknown() -> None:
    verdict = breaks(
        breaker("f", breaking_capacity_ka=20.0),
        circuit("sub", "f", cable=cable(cross_section_mm2=50.0)),
        Board(id="garage", fed_by="sub"),
        breaker("b", board="garage", fed_by="garage", breaking_capacity_ka=6.0),
        supply=with_fault_current(16.0),
    )
    assert verdict.missing == ("circuits.sub.cable.cross_section_mm2",)


@pytest.mark.parametrize(
    ("capacity", "ka", "path"),
    [(None, 6.0, "devices.b.breaking_capacity_ka"), (6.0, None, "supply.prospective_fault_current_ka")],
)
def test_breaking_capacity_is_undetermined_without(capacity: float | None, ka: float | None, path: str) -> None:
    verdict = breaks(breaker("b", breaking_capacity_ka=capacity), supply=with_fault_current(ka))
    assert (verdict.outcome, verdict.missing) == (UNKNOWN, (path,))
