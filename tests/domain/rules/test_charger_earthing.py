"""Earthing of charging points under PME.

Outside values: 70 V, routes (i) and (ii), disconnection of live conductors and earth (BS 7671
722.411.4.1, seen in a public text); 5 s and the single-phase routes (from memory); figures of Annex
A722: 35/2/2 A gives 214 V, 60/55/50 A gives 13 V, a single 32 A allows 2.75 ohm (see
``tests/reference``); 200 ohm in place of a higher result (seen in a public text).
The base load of 2 A on a line is an assumption of this program.
"""

from __future__ import annotations

import pytest

from tests.domain.houses import charger, circuit, everyday_supply, house, inverter, item, rcbo, verdicts
from trainer.domain.equipment import ChargerEarthing, SensesOpenPen
from trainer.domain.findings import Finding, Verdict
from trainer.domain.rules.charger_earthing import (
    additional_electrode_on_one_phase,
    additional_electrode_on_three_phases,
    charger_not_earthed_by_pme_alone,
    neutral_current_in_the_worst_state,
)
from trainer.domain.rules.registry import Rule
from trainer.domain.vocabulary import EarthingSystem, Location, Outcome

COMPLIES, FAILS, ADVICE, OPEN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.ADVICE, Outcome.UNDETERMINED
ROUTE = ChargerEarthing


def pme(route: ChargerEarthing | None, *others: object, rule: Rule | None = None, **facts: object) -> Verdict | None:
    """The verdict on a single-phase charger on a single-phase PME supply."""
    supply = {
        name: facts.pop(name) for name in ("system", "phases", "supply", "stated_maximum_demand_a") if name in facts
    }
    point = charger("ev", "c", earthing=route, **facts)
    phases = point.phases
    of = house(rcbo("way1"), circuit("c", "way1", phases=phases), point, *others, **supply)  # type: ignore[arg-type]
    return verdicts(rule or charger_not_earthed_by_pme_alone, of).get("ev")


def case(route: ChargerEarthing | None, *others: object, **facts: object) -> tuple[Outcome, str]:
    verdict = pme(route, *others, **facts)
    assert verdict is not None
    return verdict.outcome, verdict.case


def test_a_charger_outdoors_on_the_pme_earth_alone_fails() -> None:
    assert case(ROUTE.INSTALLATION_EARTH) == (FAILS, "installation_earth")


@pytest.mark.parametrize("system", [EarthingSystem.TN_S, EarthingSystem.TT])
def test_without_pme_the_installations_earth_may_serve(system: EarthingSystem) -> None:
    assert case(ROUTE.INSTALLATION_EARTH, system=system) == (COMPLIES, "not_pme")


def test_a_charger_that_never_charges_outdoors_may_use_the_pme_earth() -> None:
    assert case(ROUTE.INSTALLATION_EARTH, charges_outdoors=False) == (COMPLIES, "indoors_only")


def test_a_charger_that_hangs_outdoors_charges_outdoors() -> None:
    assert case(ROUTE.INSTALLATION_EARTH, charges_outdoors=False, location=Location.OUTDOORS)[0] is FAILS
    assert case(ROUTE.INSTALLATION_EARTH, charges_outdoors=None, location=Location.OUTDOORS)[0] is FAILS


@pytest.mark.parametrize("route", [ROUTE.OWN_TT_ELECTRODE, ROUTE.ELECTRICAL_SEPARATION, ROUTE.ADDITIONAL_ELECTRODE])
def test_routes_out_of_the_pme_earth_are_open(route: ChargerEarthing) -> None:
    assert case(route) == (COMPLIES, route.value)


@pytest.mark.parametrize(
    ("facts", "missing"),
    [
        ({"system": None}, "supply.earthing_system"),
        ({"charges_outdoors": None}, "equipment.ev.charger.charges_outdoors"),
    ],
)
def test_an_unknown_supply_or_place_leaves_it_open(facts: dict[str, object], missing: str) -> None:
    verdict = pme(ROUTE.INSTALLATION_EARTH, **facts)
    assert verdict is not None
    assert verdict.missing == (missing,)


def test_an_unknown_earthing_leaves_it_open() -> None:
    verdict = pme(None)
    assert verdict is not None
    assert verdict.missing == ("equipment.ev.charger.earthing",)


# --- detection ------------------------------------------------------------------------------------------

DETECTIONS = [
    (ROUTE.DEVICE_SENSING_PROTECTIVE_CONDUCTOR, SensesOpenPen.PROTECTIVE_CONDUCTOR),
    (ROUTE.DEVICE_SENSING_VOLTAGE, SensesOpenPen.VOLTAGE),
    (ROUTE.EQUIVALENT_DEVICE, SensesOpenPen.EQUIVALENT),
]


@pytest.mark.parametrize(("route", "named"), DETECTIONS)
@pytest.mark.parametrize(("within_s", "expected"), [(2.0, COMPLIES), (5.0, COMPLIES), (5.1, FAILS)])
def test_detection_disconnects_within_5_s(
    route: ChargerEarthing, named: SensesOpenPen, within_s: float, expected: Outcome
) -> None:
    facts = {"open_pen": named, "open_pen_disconnects_within_s": within_s}
    assert case(route, **facts) == (expected, "detection_in_time")


@pytest.mark.parametrize(("route", "named"), DETECTIONS)
def test_detection_that_the_sheet_does_not_name_is_not_there(route: ChargerEarthing, named: SensesOpenPen) -> None:
    assert case(route, open_pen=SensesOpenPen.SILENT) == (FAILS, "sheet_silent")
    assert case(route, open_pen=SensesOpenPen.NONE) == (FAILS, "sheet_names_none")
    other = next(each for _, each in DETECTIONS if each is not named)
    assert case(route, open_pen=other, open_pen_disconnects_within_s=2.0) == (FAILS, "other_detection")


def test_unknown_detection_or_time_leaves_it_open() -> None:
    route = ROUTE.DEVICE_SENSING_VOLTAGE
    unknown, untimed = pme(route), pme(route, open_pen=SensesOpenPen.VOLTAGE)
    assert unknown is not None
    assert unknown.missing == ("equipment.ev.charger.open_pen",)
    assert untimed is not None
    assert untimed.missing == ("equipment.ev.charger.open_pen_disconnects_within_s",)


@pytest.mark.parametrize(
    ("route", "named", "expected"),
    [
        (ROUTE.DEVICE_SENSING_PROTECTIVE_CONDUCTOR, SensesOpenPen.PROTECTIVE_CONDUCTOR, COMPLIES),
        (ROUTE.DEVICE_SENSING_VOLTAGE, SensesOpenPen.VOLTAGE, FAILS),
        (ROUTE.EQUIVALENT_DEVICE, SensesOpenPen.EQUIVALENT, FAILS),
    ],
)
def test_only_sensing_the_protective_conductor_is_open_to_three_phases(
    route: ChargerEarthing, named: SensesOpenPen, expected: Outcome
) -> None:
    facts = {"open_pen": named, "open_pen_disconnects_within_s": 2.0}
    assert case(route, phases=3, **facts)[0] is COMPLIES  # one phase of a three-phase supply
    three = charger("ev", "c", earthing=route, phases=3, **facts)
    of = house(rcbo("way1", poles=4), circuit("c", "way1", phases=3), three, phases=3)
    assert verdicts(charger_not_earthed_by_pme_alone, of)["ev"].outcome is expected


# --- balance ----------------------------------------------------------------------------------------------


def site(
    *, l1_a: float, l2_a: float, l3_a: float, three_phase_charger: bool = False, rule: Rule, **facts: object
) -> Verdict:
    """A three-phase site whose other circuits draw the given currents; the charger stands on L1 or on all lines."""
    lines = {"L1": l1_a, "L2": l2_a, "L3": l3_a}
    ways = [rcbo("way1", poles=4), *(rcbo(name) for name in lines)]
    others = [circuit(f"on{name}", name, line=name, design_current_a=current) for name, current in lines.items()]
    own = circuit("c", "way1", phases=3 if three_phase_charger else 1)
    given = {"earthing": ROUTE.BALANCED_THREE_PHASE} | facts
    point = charger("ev", "c", phases=3 if three_phase_charger else 1, **given)
    return verdicts(rule, house(*ways, *others, own, point, phases=3))["ev"]


def test_a_single_phase_supply_has_no_route_by_balance() -> None:
    assert case(ROUTE.BALANCED_THREE_PHASE) == (FAILS, "not_three_phase")


def test_one_32_a_charger_over_a_small_base_load_lifts_the_earth_to_213_v() -> None:
    # 34/2/2 A: 253 x 32 / 38 = 213.05 V, beside the published 35/2/2 A and 214 V.
    verdict = site(l1_a=2.0, l2_a=2.0, l3_a=2.0, rule=charger_not_earthed_by_pme_alone)
    assert (verdict.outcome, verdict.case, verdict.limit) == (FAILS, "balanced_three_phase", 70.0)
    assert verdict.value == pytest.approx(213.05, abs=0.005)


def test_balance_by_day_does_not_help_by_night() -> None:
    # All on: 32 + 28 / 55 / 50 A gives 13 V as published; with the others off the charger stands alone.
    verdict = site(l1_a=28.0, l2_a=55.0, l3_a=50.0, rule=charger_not_earthed_by_pme_alone)
    assert verdict.outcome is FAILS
    finding = Finding(charger_not_earthed_by_pme_alone, "equipment.ev", verdict)
    named = {term.name: term.value for term in finding.terms}
    # Worst: L1 all on, the others at base load: 60/2/2 A, 58 A of neutral current, 253 x 58 / 64 V.
    assert (named["L1"], named["L2"], named["L3"]) == (60.0, 2.0, 2.0)
    assert named["neutral_current"] == pytest.approx(58.0)
    assert verdict.value == pytest.approx(253.0 * 58.0 / 64.0)


@pytest.mark.parametrize(
    ("single_phase_a", "expected"),
    [
        # 34 + (x - 2) on one line, 34 on the others: 253 (x - 2) / (100 + x) <= 70 up to x = 41.0164 A
        (41.0, COMPLIES),
        (41.1, FAILS),
    ],
)
def test_a_three_phase_charger_balances_other_loads_up_to_a_point(single_phase_a: float, expected: Outcome) -> None:
    verdict = site(
        l1_a=single_phase_a, l2_a=2.0, l3_a=2.0, three_phase_charger=True, rule=charger_not_earthed_by_pme_alone
    )
    assert verdict.outcome is expected


def test_generation_on_another_line_makes_balance_worse() -> None:
    rule = charger_not_earthed_by_pme_alone
    ways = [rcbo("way1", poles=4), rcbo("way2")]
    point = charger("ev", "c", phases=3, earthing=ROUTE.BALANCED_THREE_PHASE)
    base = (*ways, circuit("c", "way1", phases=3), point)
    alone = verdicts(rule, house(*base, phases=3))["ev"]
    with_pv = verdicts(rule, house(*base, circuit("d", "way2", line="L2"), inverter("pv", "d"), phases=3))["ev"]
    assert alone.value == pytest.approx(0.0, abs=1e-9)  # 34/34/34 A
    # 34/18/34 A: neutral current 16 A, 253 x 16 / 86 = 47.07 V
    assert with_pv.value == pytest.approx(47.07, abs=0.005)


def test_generation_that_outweighs_the_load_leaves_no_figure_and_fails() -> None:
    ways = [rcbo("way1"), rcbo("way2", poles=4)]
    point = charger("ev", "c", earthing=ROUTE.BALANCED_THREE_PHASE)
    source = inverter("pv", "d", rated_current_a=40.0, phases=3)
    of = house(*ways, circuit("c", "way1"), circuit("d", "way2", phases=3), point, source, phases=3)
    verdict = verdicts(charger_not_earthed_by_pme_alone, of)["ev"]
    assert (verdict.outcome, verdict.case, verdict.value) == (FAILS, "balance_undefined", None)


def test_loads_come_from_the_equipment_where_no_current_is_stated() -> None:
    ways = [rcbo("way1", poles=4), rcbo("way2")]
    point = charger("ev", "c", phases=3, earthing=ROUTE.BALANCED_THREE_PHASE)
    shower = item("shower", "d", rated_current_a=None, rated_power_w=9200.0)
    of = house(*ways, circuit("c", "way1", phases=3), circuit("d", "way2"), point, shower, phases=3)
    # 9200 W / 230 V = 40 A: 72/34/34 A, 253 x 38 / 140 = 68.67 V
    assert verdicts(charger_not_earthed_by_pme_alone, of)["ev"].value == pytest.approx(68.67, abs=0.005)


def test_a_circuit_of_unknown_load_leaves_balance_open() -> None:
    ways = [rcbo("way1"), rcbo("way2")]
    point = charger("ev", "c", earthing=ROUTE.BALANCED_THREE_PHASE)
    of = house(*ways, circuit("c", "way1"), circuit("d", "way2", socket_outlets=True), point, phases=3)
    assert verdicts(charger_not_earthed_by_pme_alone, of)["ev"].missing == ("circuits.d.design_current_a",)
    assert verdicts(neutral_current_in_the_worst_state, of)["ev"].missing == ("circuits.d.design_current_a",)


def test_a_fail_safe_load_limit_counts_as_the_full_current() -> None:
    facts = {"load_limit_a": 10.0, "load_limit_fail_safe": True}
    limited = site(l1_a=2.0, l2_a=2.0, l3_a=2.0, rule=charger_not_earthed_by_pme_alone, **facts)
    # 12/2/2 A: 253 x 10 / 16
    assert limited.value == pytest.approx(253.0 * 10.0 / 16.0)


# --- working and electrodes -------------------------------------------------------------------------------


def test_the_neutral_current_is_shown_with_what_70_v_would_allow() -> None:
    verdict = site(l1_a=3.0, l2_a=2.0, l3_a=2.0, rule=neutral_current_in_the_worst_state)
    # 35/2/2 A as published: 33 A, where 70 x 39 / 253 = 10.79 A would be allowed.
    assert verdict.outcome is ADVICE
    assert verdict.value == pytest.approx(33.0)
    assert verdict.limit == pytest.approx(10.79, abs=0.005)


@pytest.mark.parametrize(("single_phase_a", "expected"), [(41.0, COMPLIES), (41.1, ADVICE)])
def test_the_neutral_current_agrees_with_the_voltage_about_the_boundary(
    single_phase_a: float, expected: Outcome
) -> None:
    verdict = site(
        l1_a=single_phase_a, l2_a=2.0, l3_a=2.0, three_phase_charger=True, rule=neutral_current_in_the_worst_state
    )
    assert verdict.outcome is expected


def test_the_working_is_shown_for_the_routes_by_load_only() -> None:
    rule = neutral_current_in_the_worst_state
    assert pme(ROUTE.OWN_TT_ELECTRODE, rule=rule, phases=3) is None
    assert pme(ROUTE.BALANCED_THREE_PHASE, rule=rule) is None
    assert pme(ROUTE.BALANCED_THREE_PHASE, rule=rule, phases=3, system=EarthingSystem.TT) is None
    assert pme(ROUTE.ADDITIONAL_ELECTRODE, rule=rule, phases=3) is not None


ELECTRODE = {"earthing": ROUTE.ADDITIONAL_ELECTRODE}


@pytest.mark.parametrize(
    ("ohm", "expected"),
    [
        # 35/2/2 A: 16100 / (253 x 33 - 70 x 39) = 16100 / 5619 = 2.8653 ohm
        (2.86, COMPLIES),
        (2.87, FAILS),
    ],
)
def test_an_electrode_on_three_phases_answers_the_worst_state(ohm: float, expected: Outcome) -> None:
    facts = ELECTRODE | {"electrode_resistance_ohm": ohm}
    verdict = site(l1_a=3.0, l2_a=2.0, l3_a=2.0, rule=additional_electrode_on_three_phases, **facts)
    assert (verdict.outcome, verdict.unit) == (expected, "ohm")
    assert verdict.limit == pytest.approx(2.8653, abs=0.00005)


@pytest.mark.parametrize(("ohm", "expected"), [(200.0, COMPLIES), (200.1, FAILS)])
def test_where_no_electrode_is_needed_200_ohm_takes_its_place(ohm: float, expected: Outcome) -> None:
    facts = ELECTRODE | {"electrode_resistance_ohm": ohm, "three_phase_charger": True}
    verdict = site(l1_a=2.0, l2_a=2.0, l3_a=2.0, rule=additional_electrode_on_three_phases, **facts)
    assert (verdict.outcome, verdict.limit) == (expected, 200.0)


def one_phase(ohm: float | None, **facts: object) -> Verdict | None:
    rule = additional_electrode_on_one_phase
    return pme(ROUTE.ADDITIONAL_ELECTRODE, rule=rule, electrode_resistance_ohm=ohm, **facts)


@pytest.mark.parametrize(
    ("demand_a", "printed_ohm"),
    [(32.0, 2.75), (60.0, 1.47), (100.0, 0.88)],
)
def test_an_electrode_on_one_phase_answers_the_whole_house(demand_a: float, printed_ohm: float) -> None:
    below = one_phase(printed_ohm - 0.01, stated_maximum_demand_a=demand_a)
    above = one_phase(printed_ohm + 0.01, stated_maximum_demand_a=demand_a)
    assert below is not None
    assert above is not None
    assert (below.outcome, above.outcome) == (COMPLIES, FAILS)


def test_without_a_stated_demand_the_service_fuse_is_the_highest_current() -> None:
    verdict = one_phase(0.88)  # 16100 / (183 x 100) = 0.8798 ohm
    assert verdict is not None
    assert verdict.outcome is FAILS
    finding = Finding(additional_electrode_on_one_phase, "equipment.ev", verdict)
    assert [(term.name, term.value) for term in finding.terms] == [("highest_current", 100.0)]


def test_a_small_demand_never_allows_more_than_200_ohm() -> None:
    verdict = one_phase(199.0, stated_maximum_demand_a=0.1)
    assert verdict is not None
    assert (verdict.outcome, verdict.limit) == (COMPLIES, 200.0)


def test_an_unknown_electrode_or_demand_leaves_it_open() -> None:
    unknown = one_phase(None)
    assert unknown is not None
    assert unknown.missing == ("equipment.ev.charger.electrode_resistance_ohm",)
    no_fuse = one_phase(1.0, supply=everyday_supply(fuse_rated_current_a=None))
    assert no_fuse is not None
    assert no_fuse.missing == ("stated_maximum_demand_a",)


def test_the_electrode_rules_keep_to_their_supplies_and_routes() -> None:
    one, three = additional_electrode_on_one_phase, additional_electrode_on_three_phases
    assert one_phase(1.0, phases=3) is None
    assert pme(ROUTE.ADDITIONAL_ELECTRODE, rule=three, electrode_resistance_ohm=1.0) is None
    assert pme(ROUTE.OWN_TT_ELECTRODE, rule=one, electrode_resistance_ohm=1.0) is None
    assert pme(ROUTE.ADDITIONAL_ELECTRODE, rule=one, electrode_resistance_ohm=1.0, charges_outdoors=False) is None


def test_other_equipment_is_no_charging_point() -> None:
    of = house(rcbo("way1"), circuit("c", "way1"), item("load", "c"))
    for rule in (
        charger_not_earthed_by_pme_alone,
        neutral_current_in_the_worst_state,
        additional_electrode_on_one_phase,
        additional_electrode_on_three_phases,
    ):
        assert verdicts(rule, of) == {}
