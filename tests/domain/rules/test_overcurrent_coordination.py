"""OC-01: passing, failing, on the limit, undetermined; expected values by hand."""

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
    verdicts,
)
from tests.domain.rules.overcurrent_houses import terms
from trainer.domain.cables import CableType
from trainer.domain.devices import Board
from trainer.domain.equipment import EquipmentKind, Source, SourceKind
from trainer.domain.findings import Verdict
from trainer.domain.rules import overcurrent
from trainer.domain.vocabulary import Outcome

COORDINATION = overcurrent.RULES[0]
PASS, FAIL, UNKNOWN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.UNDETERMINED


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
        ({}, 20.0, PASS, 27.0),
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


@pytest.mark.parametrize(("size_mm2", "outcome", "case"), [(1.5, FAIL, "ring_conductor"), (2.5, PASS, "ring")])
def test_a_ring_of_less_than_2_5_mm2_fails_although_its_cable_carries_20_a(
    size_mm2: float, outcome: Outcome, case: str
) -> None:
    # 433.1.204 names both, from memory; 1.5 mm2 clipped direct carries just 20 A (Table 4D5)
    ring = circuit("c", "b", cable=cable(cross_section_mm2=size_mm2), ring=True, socket_outlets=True)
    verdict = coordinated(breaker("b", rated_current_a=32.0), ring)
    assert (verdict.outcome, verdict.case) == (outcome, case)


def test_a_ring_that_is_too_thin_is_told_its_size_and_the_least() -> None:
    ring = circuit("c", "b", cable=cable(cross_section_mm2=1.5), ring=True, socket_outlets=True)
    verdict = coordinated(breaker("b", rated_current_a=32.0), ring)
    assert (verdict.value, verdict.limit, verdict.unit, verdict.related) == (1.5, 2.5, "mm2", ("devices.b",))
    assert verdict.citation is not None
    assert verdict.citation.clause == "433.1.204"


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


def test_without_a_device_and_without_the_service_fuse_the_coordination_is_undetermined_in_words_of_its_own() -> None:
    fed = (circuit("c", BOARD), item("i", "c"))
    unknown = coordinated(*fed, supply=everyday_supply(fuse_rated_current_a=None))
    assert (unknown.outcome, unknown.case) == (UNKNOWN, "service_fuse")
    assert unknown.missing == ("supply.fuse_rated_current_a",)


def test_a_service_fuse_of_just_the_capacity_protects_a_circuit_without_a_device() -> None:
    # 2.5 mm2, method C: 27 A; a cut-out fuse of 27 A is invented to stand on the limit
    fed = (circuit("c", BOARD), item("i", "c"))
    on_the_limit = coordinated(*fed, supply=everyday_supply(fuse_rated_current_a=27.0))
    assert (on_the_limit.outcome, on_the_limit.case, on_the_limit.related) == (PASS, "service_fuse", ("supply",))
    above = coordinated(*fed, supply=everyday_supply(fuse_rated_current_a=27.1))
    assert (above.outcome, above.case) == (FAIL, "service_fuse")


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


def fed_back(*outputs_a: float, feed_a: float = 32.0, lines: str = "111", phases: int = 1) -> Verdict:
    """The circuit to a barn of a 1 A lamp, whose sources feed back on these lines (``*``: on all three)."""
    run = cable(cross_section_mm2=10.0, protective_conductor_mm2=4.0)
    if phases > 1:
        run = cable(type="4D2", cross_section_mm2=10.0, protective_conductor_mm2=4.0)
    records: list[Any] = [breaker("f", rated_current_a=feed_a, poles=phases + 1)]
    records += [circuit("sub", "f", cable=run, phases=phases), Board(id="barn", fed_by="sub")]
    records += [breaker("b", board="barn", fed_by="barn"), circuit("lamp", "b"), item("i", "lamp", rated_current_a=1.0)]
    for n, output_a in enumerate(outputs_a):
        on = {"phases": 3} if lines[n] == "*" else {"line": f"L{lines[n]}"}
        records += [breaker(f"b{n}", board="barn", fed_by="barn"), circuit(f"c{n}", f"b{n}", **on)]
        source = Source(kind=SourceKind.PV, rated_current_a=output_a)
        records.append(inverter(f"pv{n}", f"c{n}", source=source))
    return verdicts(COORDINATION, house(*records, phases=phases))["sub"]


@pytest.mark.parametrize(("second_a", "outcome"), [(16.0, PASS), (16.1, FAIL)])
def test_a_distribution_circuit_carries_what_the_sources_beyond_it_send_back(second_a: float, outcome: Outcome) -> None:
    # Ib of 433.1.1 is the current in normal service, whichever way it flows; 16 A + 16 A on a device of 32 A
    verdict = fed_back(16.0, second_a)
    assert verdict.outcome is outcome
    if outcome is FAIL:
        assert (verdict.case, verdict.related) == ("sources_beyond", ("devices.f",))
        assert terms(verdict) == {"pv0": 16.0, "pv1": 16.1}


def test_sources_on_different_lines_do_not_add_in_the_circuit_to_a_board() -> None:
    assert fed_back(20.0, 20.0, lines="12", phases=3).outcome is PASS
    alike = fed_back(20.0, 20.0, lines="22", phases=3)
    assert (alike.case, alike.value) == ("sources_beyond", 40.0)


def test_a_source_of_three_phases_sends_its_current_back_on_each_line() -> None:
    # a balanced source of 20 A carries 20 A in each line conductor; with 20 A on L2 alone: 20, 40 and 20 A
    verdict = fed_back(20.0, 20.0, lines="*2", phases=3)
    assert (verdict.outcome, verdict.case, verdict.value) == (FAIL, "sources_beyond", 40.0)
    assert terms(verdict) == {"pv0": 20.0, "pv1": 20.0}
    assert fed_back(20.0, 12.0, lines="*2", phases=3).outcome is PASS


def test_of_lines_that_are_sent_back_as_much_the_first_is_named() -> None:
    verdict = fed_back(40.0, 40.0, lines="12", phases=3)
    assert (verdict.case, verdict.value, terms(verdict)) == ("sources_beyond", 40.0, {"pv0": 40.0})


def test_the_source_of_a_final_circuit_is_its_design_current_and_not_beyond_it() -> None:
    # Ib of 433.1.1: 25 A on a device of 20 A
    source = inverter("pv", "c", source=Source(kind=SourceKind.PV, rated_current_a=25.0))
    verdict = coordinated(breaker("b", rated_current_a=20.0), circuit("c", "b"), source)
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (FAIL, "design_current", 25.0, 20.0)
