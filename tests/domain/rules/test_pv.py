"""PV: connection, isolation, strings, frames.

Outside values: factor 1.2 without data, KU from the temperature coefficient, 1.25 Isc, windows of
string fuses 1.375 Isc to the module's limit and 1.5 to 2.4 Isc (HD 60364-7-712 and a British guide,
which disagree; from memory), 120 V (BS 7671 712.414, from memory). The figures are worked by hand;
no printed example is known.
"""

from __future__ import annotations

import pytest

from tests.domain.houses import breaker, circuit, device, house, inverter, item, verdicts
from trainer.domain.equipment import PvArray, SourceKind
from trainer.domain.findings import Finding, Verdict
from trainer.domain.rules.pv import (
    FrameEarthing,
    array_protected_by_insulation,
    frames_of_the_array,
    inverter_isolated_on_both_sides,
    pv_before_the_protection_of_loads,
    pv_cable_with_fault_protection,
    rating_of_string_fuses,
    small_loops_of_direct_current_cables,
    string_voltage_in_the_cold,
    strings_protected_from_each_other,
)
from trainer.domain.rules.registry import Rule
from trainer.domain.vocabulary import DeviceKind, EarthingSystem, Outcome

COMPLIES, FAILS, ADVICE, OPEN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.ADVICE, Outcome.UNDETERMINED


def array(**facts: object) -> PvArray:
    """One string of ten modules of 40 V and 10 A, class II."""
    given: dict[str, object] = {
        "modules_in_series": 10,
        "strings_in_parallel": 1,
        "open_circuit_voltage_v": 40.0,
        "short_circuit_current_a": 10.0,
        "module_maximum_overcurrent_protection_a": 20.0,
        "maximum_input_voltage_v": 600.0,
        "class_ii": True,
        "frame_is_extraneous": False,
        "frame_earthing": "none",
    }
    return PvArray(**(given | facts))  # type: ignore[arg-type]


def on_the_roof(rule: Rule, system: EarthingSystem = EarthingSystem.TN_C_S, **facts: object) -> Verdict | None:
    pv = inverter("pv", "c", pv_array=array(**facts))
    return verdicts(rule, house(breaker("way1"), circuit("c", "way1"), pv, system=system)).get("pv")


def judged(rule: Rule, system: EarthingSystem = EarthingSystem.TN_C_S, **facts: object) -> tuple[Outcome, str]:
    verdict = on_the_roof(rule, system, **facts)
    assert verdict is not None
    return verdict.outcome, verdict.case


def test_equipment_without_an_array_is_not_judged() -> None:
    of = house(breaker("way1"), circuit("c", "way1"), item("load", "c"))
    for rule in (
        pv_before_the_protection_of_loads,
        pv_cable_with_fault_protection,
        inverter_isolated_on_both_sides,
        array_protected_by_insulation,
        string_voltage_in_the_cold,
        strings_protected_from_each_other,
        rating_of_string_fuses,
        small_loops_of_direct_current_cables,
        frames_of_the_array,
    ):
        assert verdicts(rule, of) == {}


@pytest.mark.parametrize(
    ("facts", "load", "expected"),
    [
        ({}, False, COMPLIES),
        ({"socket_outlets": True}, False, FAILS),
        ({"luminaires": True}, False, FAILS),
        ({}, True, FAILS),
    ],
)
def test_pv_shares_its_circuit_with_no_loads(facts: dict[str, bool], load: bool, expected: Outcome) -> None:
    loads = (item("load", "c"),) if load else ()
    of = house(breaker("way1"), circuit("c", "way1", **facts), inverter("pv", "c"), *loads)
    assert verdicts(pv_before_the_protection_of_loads, of)["pv"].outcome is expected


def test_two_inverters_may_share_a_circuit() -> None:
    of = house(breaker("way1"), circuit("c", "way1"), inverter("pv", "c"), inverter("battery", "c", SourceKind.BATTERY))
    assert verdicts(pv_before_the_protection_of_loads, of)["pv"].outcome is COMPLIES


def test_the_cable_of_pv_has_an_overcurrent_device() -> None:
    rule = pv_cable_with_fault_protection
    bare = house(device("way1", DeviceKind.SWITCH), circuit("c", "way1"), inverter("pv", "c"))
    assert verdicts(rule, bare)["pv"].outcome is FAILS
    assert verdicts(rule, house(breaker("way1"), circuit("c", "way1"), inverter("pv", "c")))["pv"].outcome is COMPLIES


@pytest.mark.parametrize(
    ("ac", "dc", "expected", "case"),
    [
        (True, True, COMPLIES, "both_sides"),
        (False, True, FAILS, "isolator_ac"),
        (True, False, FAILS, "isolator_dc"),
        (None, True, OPEN, ""),
        (True, None, OPEN, ""),
    ],
)
def test_an_inverter_is_isolated_on_both_sides(ac: bool | None, dc: bool | None, expected: Outcome, case: str) -> None:
    pv = inverter("pv", "c", isolator_ac=ac, isolator_dc=dc)
    verdict = verdicts(inverter_isolated_on_both_sides, house(breaker("way1"), circuit("c", "way1"), pv))["pv"]
    assert (verdict.outcome, verdict.case) == (expected, case)


def test_a_battery_is_isolated_by_another_rule() -> None:
    battery = inverter("battery", "c", SourceKind.BATTERY, isolator_dc=False)
    of = house(breaker("way1"), circuit("c", "way1"), battery)
    assert verdicts(inverter_isolated_on_both_sides, of) == {}


# --- voltages -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("facts", "expected", "case"),
    [
        ({"class_ii": True}, COMPLIES, "class_ii"),
        ({"class_ii": False}, FAILS, "extra_low_voltage"),
        # Without data 1.2: 5 x 20 V x 1.2 = 120 V
        ({"class_ii": False, "modules_in_series": 5, "open_circuit_voltage_v": 20.0}, COMPLIES, "extra_low_voltage"),
        ({"class_ii": False, "modules_in_series": 5, "open_circuit_voltage_v": 20.1}, FAILS, "extra_low_voltage"),
        ({"class_ii": None}, OPEN, ""),
        ({"class_ii": None, "modules_in_series": 2}, COMPLIES, "extra_low_voltage"),
    ],
)
def test_an_array_is_class_ii_or_extra_low_voltage(facts: dict[str, object], expected: Outcome, case: str) -> None:
    assert judged(array_protected_by_insulation, **facts) == (expected, case)


@pytest.mark.parametrize(
    ("facts", "voltage_v"),
    [
        ({}, 480.0),  # no data: 10 x 40 x 1.2
        ({"voltage_coefficient_percent_per_k": -0.3}, 480.0),  # no lowest temperature
        ({"minimum_temperature_c": -10.0}, 480.0),  # no coefficient
        # 1 + 0.3/100 x 35 = 1.105: 442 V
        ({"voltage_coefficient_percent_per_k": -0.3, "minimum_temperature_c": -10.0}, 442.0),
    ],
)
def test_the_string_voltage_follows_the_cold_or_the_tabulated_factor(
    facts: dict[str, object], voltage_v: float
) -> None:
    verdict = on_the_roof(string_voltage_in_the_cold, **facts)
    assert verdict is not None
    assert verdict.value == pytest.approx(voltage_v)


@pytest.mark.parametrize(("allowed_v", "expected"), [(480.0, COMPLIES), (479.9, FAILS), (None, OPEN)])
def test_the_string_voltage_stays_within_the_input(allowed_v: float | None, expected: Outcome) -> None:
    assert judged(string_voltage_in_the_cold, maximum_input_voltage_v=allowed_v)[0] is expected


def test_the_string_voltage_shows_its_factors() -> None:
    verdict = on_the_roof(string_voltage_in_the_cold)
    assert verdict is not None
    terms = Finding(string_voltage_in_the_cold, "equipment.pv", verdict).terms
    assert [term.value for term in terms] == [10, 40.0, 1.2]


# --- strings in parallel -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("facts", "expected", "case"),
    [
        ({"strings_in_parallel": 1}, COMPLIES, "one_string"),
        ({"strings_in_parallel": 1, "module_maximum_overcurrent_protection_a": None}, COMPLIES, "one_string"),
        ({"strings_in_parallel": 2}, COMPLIES, "reverse_current"),  # 12.5 A on 20 A
        ({"strings_in_parallel": 3}, FAILS, "reverse_current"),  # 25 A on 20 A
        ({"strings_in_parallel": 3, "module_maximum_overcurrent_protection_a": 25.0}, COMPLIES, "reverse_current"),
        ({"strings_in_parallel": 3, "string_fuse_rated_current_a": 15.0}, COMPLIES, "fuses_fitted"),
        ({"strings_in_parallel": 2, "string_fuse_rated_current_a": 15.0}, COMPLIES, "reverse_current"),
        ({"strings_in_parallel": 3, "module_maximum_overcurrent_protection_a": None}, OPEN, ""),
    ],
)
def test_strings_have_fuses_where_their_neighbours_send_too_much(
    facts: dict[str, object], expected: Outcome, case: str
) -> None:
    assert judged(strings_protected_from_each_other, **facts) == (expected, case)


def test_the_reverse_current_shows_its_terms() -> None:
    verdict = on_the_roof(strings_protected_from_each_other, strings_in_parallel=3)
    assert verdict is not None
    terms = Finding(strings_protected_from_each_other, "equipment.pv", verdict).terms
    assert [term.value for term in terms] == [3, 10.0, 1.25]
    assert verdict.value == 25.0


@pytest.mark.parametrize(
    ("fuse_a", "facts", "expected", "case"),
    [
        (15.0, {}, COMPLIES, "inside_both_windows"),  # 1.5 x 10 A
        (20.0, {}, COMPLIES, "inside_both_windows"),  # the module's limit
        (14.9, {}, COMPLIES, "publications_differ"),
        (13.75, {}, COMPLIES, "publications_differ"),  # 1.375 x 10 A
        (13.7, {}, FAILS, "below_the_window"),
        (20.1, {}, FAILS, "above_the_window"),
        (24.0, {"module_maximum_overcurrent_protection_a": 30.0}, COMPLIES, "inside_both_windows"),  # 2.4 x 10 A
        (24.1, {"module_maximum_overcurrent_protection_a": 30.0}, FAILS, "above_the_window"),
        (16.0, {"module_maximum_overcurrent_protection_a": None}, OPEN, ""),
        (25.0, {"module_maximum_overcurrent_protection_a": None}, FAILS, "above_the_window"),
    ],
)
def test_string_fuses_lie_in_the_overlap_of_two_windows(
    fuse_a: float, facts: dict[str, object], expected: Outcome, case: str
) -> None:
    facts = {"strings_in_parallel": 4, "string_fuse_rated_current_a": fuse_a} | facts
    assert judged(rating_of_string_fuses, **facts) == (expected, case)


def test_without_string_fuses_their_rating_is_not_judged() -> None:
    assert on_the_roof(rating_of_string_fuses) is None


# --- frames and loops ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("extraneous", "class_ii", "earthing", "expected", "case"),
    [
        (True, True, FrameEarthing.BONDED, COMPLIES, "extraneous"),
        (True, True, FrameEarthing.NONE, FAILS, "extraneous"),
        (True, False, FrameEarthing.PROTECTIVE_CONDUCTOR, FAILS, "extraneous"),
        (False, False, FrameEarthing.PROTECTIVE_CONDUCTOR, COMPLIES, "exposed"),
        (False, False, FrameEarthing.BONDED, COMPLIES, "exposed"),
        (False, False, FrameEarthing.NONE, FAILS, "exposed"),
        (False, False, FrameEarthing.FUNCTIONAL, FAILS, "exposed"),
        (False, True, FrameEarthing.NONE, COMPLIES, "neither"),
        (False, True, FrameEarthing.FUNCTIONAL, COMPLIES, "neither"),
        (False, True, FrameEarthing.BONDED, ADVICE, "neither"),
    ],
)
def test_frames_are_bonded_earthed_or_left_alone(
    extraneous: bool, class_ii: bool, earthing: FrameEarthing, expected: Outcome, case: str
) -> None:
    facts = {"frame_is_extraneous": extraneous, "class_ii": class_ii, "frame_earthing": earthing.value}
    assert judged(frames_of_the_array, **facts) == (expected, case)


def test_outside_pme_a_bonded_frame_carries_no_open_pen_to_the_roof() -> None:
    facts = {"frame_earthing": "bonded"}
    assert judged(frames_of_the_array, EarthingSystem.TN_S, **facts) == (COMPLIES, "neither")


@pytest.mark.parametrize("fact", ["frame_is_extraneous", "class_ii", "frame_earthing"])
def test_unknown_facts_leave_the_frame_open(fact: str) -> None:
    verdict = on_the_roof(frames_of_the_array, **{fact: None})
    assert verdict is not None
    assert verdict.missing == (f"equipment.pv.pv_array.{fact}",)


def test_the_loop_of_the_conductors_is_always_a_word_of_advice() -> None:
    assert judged(small_loops_of_direct_current_cables) == (ADVICE, "look_on_site")
