"""OC-12 and DNO-01 to DNO-03: passing, failing, on the limit, undetermined."""

from __future__ import annotations

from typing import Any

import pytest

from tests.domain.houses import (
    breaker,
    charger,
    circuit,
    everyday_supply,
    heat_pump,
    house,
    inverter,
    item,
    verdicts,
)
from trainer.domain.equipment import EquipmentKind, Source, SourceKind
from trainer.domain.findings import Verdict
from trainer.domain.installation import Installation, Network
from trainer.domain.notices import GenerationRoute, LoadRoute
from trainer.domain.rules import network
from trainer.domain.rules.registry import Rule
from trainer.domain.vocabulary import Outcome, Premises

DEMAND, LOAD, GENERATION, EXPORT = network.RULES
PASS, FAIL, UNKNOWN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.UNDETERMINED


def the(rule: Rule, home: Installation) -> Verdict:
    return verdicts(rule, home)["installation"]


def terms(verdict: Verdict) -> dict[str, float]:
    return {t.name: t.value for t in (verdict.terms() if callable(verdict.terms) else verdict.terms)}


# OC-12

LOADS = (
    breaker("b1"),
    circuit("c1", "b1"),
    charger("ev", "c1"),
    breaker("b2"),
    circuit("c2", "b2"),
    item("shower", "c2", EquipmentKind.SHOWER, rated_current_a=40.0),
)


@pytest.mark.parametrize(("fuse_a", "outcome"), [(80.0, PASS), (72.0, PASS), (60.0, FAIL)])
def test_the_demand_stays_within_the_service_fuse(fuse_a: float, outcome: Outcome) -> None:
    # 32 A + 40 A
    verdict = the(DEMAND, house(*LOADS, supply=everyday_supply(fuse_rated_current_a=fuse_a)))
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (outcome, "with_diversity", 72.0, fuse_a)
    assert terms(verdict) == {"charger": 32.0, "shower": 40.0}


@pytest.mark.parametrize(("stated_a", "outcome"), [(100.0, PASS), (100.5, FAIL)])
def test_a_stated_demand_replaces_the_estimate(stated_a: float, outcome: Outcome) -> None:
    verdict = the(DEMAND, house(*LOADS, stated_maximum_demand_a=stated_a))
    assert (verdict.outcome, verdict.case, verdict.value) == (outcome, "stated", stated_a)


def test_other_premises_are_judged_only_as_far_as_all_loads_in_full_reach() -> None:
    small = the(DEMAND, house(*LOADS, premises=Premises.COMMERCIAL))
    assert (small.outcome, small.case) == (PASS, "without_diversity")
    supply = everyday_supply(fuse_rated_current_a=60.0)
    large = the(DEMAND, house(*LOADS, premises=Premises.COMMERCIAL, supply=supply))
    assert (large.outcome, large.missing) == (UNKNOWN, ("stated_maximum_demand_a",))
    unknown = the(DEMAND, house(*LOADS, premises=None, supply=supply))
    assert unknown.missing == ("premises",)


def test_the_demand_is_undetermined_without_fuse_or_currents() -> None:
    no_fuse = the(DEMAND, house(*LOADS, supply=everyday_supply(fuse_rated_current_a=None)))
    assert no_fuse.missing == ("supply.fuse_rated_current_a",)
    unknown = house(breaker("b"), circuit("c", "b"), item("i", "c", rated_current_a=None))
    assert the(DEMAND, unknown).missing == ("equipment.i.rated_current_a",)


# DNO-01


def route(
    chosen: str | None, *, looped: bool | None = False, adequate: bool | None = True, fuse_a: float | None = 80.0
) -> Verdict:
    supply = everyday_supply(fuse_rated_current_a=fuse_a, looped=looped, declared_adequate=adequate)
    home = house(*LOADS[:3], supply=supply, network=Network(load_route=chosen), stated_maximum_demand_a=60.0)
    return the(LOAD, home)


def test_notice_afterwards_is_enough_up_to_60_a() -> None:
    # ENA process, seen in a public text: 60 A single-phase, adequate, not looped
    verdict = route(LoadRoute.NOTIFY)
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (PASS, "demand", 60.0, 60.0)


@pytest.mark.parametrize(("demand_a", "outcome"), [(60.0, PASS), (60.1, FAIL)])
def test_more_than_60_a_is_applied_for(demand_a: float, outcome: Outcome) -> None:
    supply = everyday_supply(looped=False, declared_adequate=True)
    home = house(
        *LOADS[:3], supply=supply, network=Network(load_route=LoadRoute.NOTIFY), stated_maximum_demand_a=demand_a
    )
    assert the(LOAD, home).outcome is outcome


def test_the_service_fuse_may_be_the_lower_bound() -> None:
    assert (route(LoadRoute.NOTIFY, fuse_a=50.0).outcome, route(LoadRoute.NOTIFY, fuse_a=50.0).limit) == (FAIL, 50.0)


@pytest.mark.parametrize(
    ("facts", "case"),
    [
        ({"looped": True}, "looped"),
        ({"looped": None}, "not_known"),
        ({"adequate": None}, "not_known"),
        ({"adequate": False}, "not_adequate"),
    ],
)
def test_a_looped_or_unknown_service_is_applied_for(facts: dict[str, Any], case: str) -> None:
    verdict = route(LoadRoute.NOTIFY, **facts)
    assert (verdict.outcome, verdict.case) == (FAIL, case)
    applied = route(LoadRoute.APPLY, **facts)
    assert (applied.outcome, applied.case) == (PASS, "applied")


def test_without_a_stated_demand_the_estimate_counts() -> None:
    supply = everyday_supply(looped=False, declared_adequate=True)
    home = house(*LOADS, supply=supply, network=Network(load_route=LoadRoute.NOTIFY))
    verdict = the(LOAD, home)
    assert (verdict.outcome, verdict.value, terms(verdict)) == (FAIL, 72.0, {"charger": 32.0, "shower": 40.0})


def test_the_route_for_load_is_undetermined_without() -> None:
    assert route(None).missing == ("network.load_route",)
    assert route(LoadRoute.NOTIFY, fuse_a=None).missing == ("supply.fuse_rated_current_a",)
    supply = everyday_supply(looped=False, declared_adequate=True)
    unknown = house(
        breaker("b"),
        circuit("c", "b"),
        heat_pump("hp", "c", rated_current_a=None),
        supply=supply,
        network=Network(load_route=LoadRoute.NOTIFY),
    )
    assert the(LOAD, unknown).missing == ("equipment.hp.rated_current_a",)


def test_a_house_without_charger_and_heat_pump_notifies_nobody() -> None:
    assert verdicts(LOAD, house(*LOADS[3:])) == {}


# DNO-02


def source(name: str, amps: float, line: str = "L1", phases: int = 1, **facts: Any) -> tuple[Any, ...]:
    given = {"kind": SourceKind.PV, "rated_current_a": amps, "type_tested": True} | facts
    return (
        breaker(f"b_{name}", poles=4),
        circuit(f"c_{name}", f"b_{name}", line=line, phases=phases),
        inverter(name, f"c_{name}", source=Source(**given)),
    )


def generation(*records: Any, chosen: str | None = GenerationRoute.G98, phases: int = 1) -> Verdict:
    return the(GENERATION, house(*records, phases=phases, network=Network(generation_route=chosen)))


@pytest.mark.parametrize(("amps", "outcome"), [(15.9, PASS), (16.0, PASS), (16.1, FAIL)])
def test_g98_reaches_to_16_a_per_phase(amps: float, outcome: Outcome) -> None:
    # 3.68 kW / 230 V = 16 A
    verdict = generation(*source("pv", amps))
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (outcome, "capacity", amps, 16.0)
    assert terms(verdict) == {"pv": amps}


def test_all_inverters_count_together() -> None:
    both = (*source("pv", 10.0), *source("bat", 10.0, kind=SourceKind.BATTERY))
    assert (generation(*both).outcome, generation(*both).value) == (FAIL, 20.0)
    applied = generation(*both, chosen=GenerationRoute.G99)
    assert (applied.outcome, applied.case) == (PASS, "applied")


def test_a_source_that_does_not_count_is_left_out() -> None:
    records = (*source("pv", 10.0), *source("bat", 10.0, counts_in_registered_capacity=False))
    assert (generation(*records).outcome, generation(*records).value) == (PASS, 10.0)
    assert verdicts(GENERATION, house(*source("bat", 10.0, counts_in_registered_capacity=False))) == {}


def test_lines_are_counted_one_by_one() -> None:
    apart = (*source("pv", 16.0, "L1"), *source("bat", 16.0, "L2"))
    assert (generation(*apart, phases=3).outcome, generation(*apart, phases=3).value) == (PASS, 16.0)
    three = (*apart, *source("three", 5.0, phases=3))
    assert (generation(*three, phases=3).outcome, generation(*three, phases=3).value) == (FAIL, 21.0)
    assert terms(generation(*three, phases=3)) == {"pv": 16.0, "three": 5.0}


def test_a_three_phase_source_adds_to_every_line() -> None:
    for line in ("L1", "L2", "L3"):
        records = (*source("pv", 10.0, line), *source("three", 5.0, phases=3))
        assert generation(*records, phases=3).value == 15.0


def test_a_line_is_known_by_its_letters_as_a_file_brings_it() -> None:
    assert generation(*source("pv", 10.0, "".join(["L", "1"]))).value == 10.0


def test_the_smallest_source_counts_too() -> None:
    verdict = generation(*source("balcony", 0.5))
    assert (verdict.value, terms(verdict)) == (0.5, {"balcony": 0.5})


def test_g98_needs_type_tested_equipment() -> None:
    verdict = generation(*source("pv", 10.0, type_tested=False))
    assert (verdict.outcome, verdict.case, verdict.related) == (FAIL, "type_tested", ("equipment.pv",))
    unknown = generation(*source("pv", 10.0, type_tested=None))
    assert (unknown.outcome, unknown.missing) == (UNKNOWN, ("equipment.pv.source.type_tested",))
    assert generation(*source("pv", 20.0, type_tested=None)).case == "capacity"


def test_the_route_for_generation_is_undetermined_without_a_choice_and_silent_without_sources() -> None:
    assert generation(*source("pv", 10.0), chosen=None).missing == ("network.generation_route",)
    assert verdicts(GENERATION, house(*LOADS)) == {}


# DNO-03


def export(agreed_w: float | None, limited: bool | None, *records: Any, phases: int = 1) -> dict[str, Verdict]:
    supply = everyday_supply(agreed_export_limit_w=agreed_w, phases=phases)
    return verdicts(
        EXPORT,
        house(*(records or source("pv", 16.0)), supply=supply, network=Network(export_limited=limited), phases=phases),
    )


@pytest.mark.parametrize(
    ("agreed_w", "limited", "outcome", "case"),
    [
        (3680.0, None, PASS, "cannot_exceed"),
        (3679.0, True, PASS, "limited"),
        (3679.0, False, FAIL, "limited"),
    ],
)
def test_export_above_the_agreement_is_limited(
    agreed_w: float, limited: bool | None, outcome: Outcome, case: str
) -> None:
    # 16 A x 230 V = 3680 W
    verdict = export(agreed_w, limited)["installation"]
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (outcome, case, 3680.0, agreed_w)
    assert verdict.unit == "W"


def test_three_phases_export_three_times_as_much() -> None:
    # 16 A x 230 V x 3 = 11.04 kW
    verdict = export(12000.0, None, *source("pv", 16.0, phases=3), phases=3)["installation"]
    assert verdict.value == 11040.0


def test_export_is_undetermined_without_and_silent_where_nothing_is_agreed() -> None:
    assert export(1000.0, None)["installation"].missing == ("network.export_limited",)
    assert export(None, None) == {}
    assert export(1000.0, None, *LOADS) == {}
