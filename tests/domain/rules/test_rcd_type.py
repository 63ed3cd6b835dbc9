"""The type of a residual current device: the maker's word first, then the front end.

Outside values: the residual currents of semiconductor circuits as IEC 60755 lists them and the
types of BS 7671 531.3.3 and Annex A53 (from memory): resistive, phase-angle and burst control AC;
half-wave and single-phase bridge A; single-phase converter F; smoothed half-wave, bridge between
lines, three-pulse, six-pulse, three-phase converter B. A bridge with boost power-factor stage and
inverters without separation: B by circuit analysis.
"""

from __future__ import annotations

import pytest

from tests.domain.houses import (
    breaker,
    charger,
    circuit,
    heat_pump,
    house,
    inverter,
    item,
    rcbo,
    rccb,
    selective,
    verdicts,
)
from tests.domain.published import published
from trainer.domain.equipment import Equipment, SourceKind
from trainer.domain.findings import Verdict
from trainer.domain.limits import limits_for
from trainer.domain.physics.classification import least_type_of_equipment
from trainer.domain.rules.rcd_type import (
    type_suited_to_the_loads,
)
from trainer.domain.vocabulary import Edition, FrontEnd, MakerWord, Outcome, RcdType

COMPLIES, FAILS, ADVICE = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.ADVICE

LEAST_TYPE = [
    (FrontEnd.RESISTIVE, "AC"),
    (FrontEnd.PHASE_ANGLE, "AC"),
    (FrontEnd.BURST, "AC"),
    (FrontEnd.HALF_WAVE, "A"),
    (FrontEnd.BRIDGE_RESISTIVE, "A"),
    (FrontEnd.BRIDGE_CAPACITOR, "A"),
    (FrontEnd.BRIDGE_HALF_CONTROLLED, "A"),
    (FrontEnd.CONVERTER_SINGLE_PHASE, "F"),
    (FrontEnd.HALF_WAVE_CAPACITOR, "B"),
    (FrontEnd.BRIDGE_CHOKE, "B"),
    (FrontEnd.BRIDGE_POWER_FACTOR_STAGE, "B"),
    (FrontEnd.BRIDGE_BETWEEN_LINES, "B"),
    (FrontEnd.THREE_PULSE, "B"),
    (FrontEnd.SIX_PULSE_CAPACITOR, "B"),
    (FrontEnd.SIX_PULSE_CHOKE, "B"),
    (FrontEnd.CONVERTER_THREE_PHASE, "B"),
    (FrontEnd.INVERTER_FULL_BRIDGE, "B"),
    (FrontEnd.INVERTER_LINE_FREQUENCY_LEG, "B"),
    (FrontEnd.INVERTER_HALF_BRIDGE, "B"),
    (FrontEnd.INVERTER_THREE_PHASE, "B"),
]


@pytest.mark.parametrize("row", published("semiconductor_circuits"), ids=lambda row: row["front_end"])
def test_the_least_type_is_that_of_the_listed_semiconductor_circuit(row: dict[str, str]) -> None:
    limits = limits_for(Edition.A4_2026)
    assert limits.residual.least_type(FrontEnd(row["front_end"])) == row["least_type"]


@pytest.mark.parametrize("front_end", FrontEnd)
def test_the_least_type_agrees_with_the_computed_waveform_of_the_worst_fault(front_end: FrontEnd) -> None:
    assert limits_for(Edition.A4_2026).residual.least_type(front_end) is least_type_of_equipment(front_end)


def on_way1(load: Equipment | None, rcd_type: RcdType | str | None, **facts: object) -> Verdict | None:
    """The verdict on the device of way 1 that feeds one circuit with one load."""
    loads = () if load is None else (load,)
    of = house(rcbo("way1", rcd_type), circuit("c", "way1", **facts), *loads)
    return verdicts(type_suited_to_the_loads, of).get("way1")


def outcome(load: Equipment | None, rcd_type: RcdType | str | None, **facts: object) -> Outcome | None:
    verdict = on_way1(load, rcd_type, **facts)
    return None if verdict is None else verdict.outcome


def test_every_front_end_has_a_least_type() -> None:
    assert {front_end for front_end, _ in LEAST_TYPE} == set(FrontEnd)


@pytest.mark.parametrize(("front_end", "least"), LEAST_TYPE)
def test_fixed_equipment_with_a_silent_sheet_gets_the_type_of_its_front_end(front_end: FrontEnd, least: str) -> None:
    for rcd_type in RcdType:
        expected = COMPLIES if rcd_type.covers(RcdType(least)) else FAILS
        assert outcome(item("load", "c", front_end=front_end), rcd_type) is expected


def test_a_failing_verdict_names_the_neediest_load_and_both_types() -> None:
    of = house(
        rccb("shared", "A"),
        circuit("a", "shared"),
        circuit("b", "shared"),
        item("hob", "a", front_end=FrontEnd.BRIDGE_CAPACITOR),
        item("drive", "b", front_end=FrontEnd.SIX_PULSE_CAPACITOR),
    )
    verdict = verdicts(type_suited_to_the_loads, of)["shared"]
    assert (verdict.value, verdict.limit, verdict.case) == ("A", "B", "front_end_needs")
    assert verdict.related == ("equipment.drive",)


@pytest.mark.parametrize(("rcd_type", "expected"), [("AC", FAILS), ("A", COMPLIES), ("B", COMPLIES)])
def test_a_makers_requirement_overrules_a_front_end_that_shows_more(rcd_type: str, expected: Outcome) -> None:
    word = {"maker_rcd_type": RcdType.A, "maker_rcd_word": MakerWord.REQUIRED}
    assert outcome(item("drive", "c", front_end=FrontEnd.SIX_PULSE_CAPACITOR, **word), rcd_type) is expected


def test_a_makers_requirement_overrules_a_front_end_that_shows_less() -> None:
    load = item("hob", "c", front_end=FrontEnd.RESISTIVE, maker_rcd_type=RcdType.F, maker_rcd_word=MakerWord.REQUIRED)
    verdict = on_way1(load, "A")
    assert verdict is not None
    assert (verdict.outcome, verdict.case) == (FAILS, "maker_requires")


def test_a_recommendation_above_the_front_end_does_not_fail_the_device() -> None:
    load = item(
        "hob", "c", front_end=FrontEnd.BRIDGE_CAPACITOR, maker_rcd_type=RcdType.F, maker_rcd_word=MakerWord.RECOMMENDED
    )
    assert outcome(load, "A") is COMPLIES


def test_a_recommendation_below_the_front_end_is_the_makers_stated_type() -> None:
    load = item(
        "drive", "c", front_end=FrontEnd.SIX_PULSE_CHOKE, maker_rcd_type=RcdType.A, maker_rcd_word=MakerWord.RECOMMENDED
    )
    assert outcome(load, "A") is COMPLIES
    assert outcome(load, "AC") is FAILS


def test_behind_separation_type_a_is_enough_and_type_ac_is_not() -> None:
    load = item("rack", "c", front_end=FrontEnd.BRIDGE_POWER_FACTOR_STAGE, galvanic_separation=True)
    assert outcome(load, "A") is COMPLIES
    assert outcome(load, "AC") is FAILS


def test_a_separated_resistive_load_may_keep_type_ac() -> None:
    assert outcome(item("heater", "c", galvanic_separation=True), "AC") is COMPLIES


def test_an_unknown_front_end_is_settled_by_type_b_only() -> None:
    load = item("load", "c", front_end=None)
    assert outcome(load, "B") is COMPLIES
    assert outcome(load, "AC") is FAILS
    verdict = on_way1(load, "A")
    assert verdict is not None
    assert verdict.missing == ("equipment.load.front_end",)


def test_an_unknown_front_end_is_settled_by_the_type_that_the_maker_recommends() -> None:
    load = item("load", "c", front_end=None, maker_rcd_type=RcdType.F, maker_rcd_word=MakerWord.RECOMMENDED)
    verdict = on_way1(load, "A")
    assert verdict is not None
    assert verdict.missing == ("equipment.load.front_end",)
    assert outcome(load, "F") is COMPLIES
    assert outcome(load, "AC") is FAILS


@pytest.mark.parametrize(("rcd_type", "expected"), [("AC", FAILS), ("A", COMPLIES)])
def test_socket_circuits_are_graded_at_type_a(rcd_type: str, expected: Outcome) -> None:
    assert outcome(None, rcd_type, socket_outlets=True) is expected
    verdict = on_way1(None, rcd_type, socket_outlets=True)
    assert verdict is not None
    assert verdict.limit == "A"


def test_a_plug_in_load_with_a_power_factor_stage_gives_a_note_and_no_failure() -> None:
    load = item("computers", "c", plug_in=True, fixed=False, front_end=FrontEnd.BRIDGE_POWER_FACTOR_STAGE)
    verdict = on_way1(load, "A", socket_outlets=True)
    assert verdict is not None
    assert (verdict.outcome, verdict.case, verdict.limit) == (ADVICE, "plugged_in_load", "B")
    assert outcome(load, "B", socket_outlets=True) is COMPLIES


def test_a_resistive_load_that_is_not_fixed_still_asks_for_type_a() -> None:
    assert outcome(item("kettle", "c", plug_in=True), "AC") is FAILS
    assert outcome(item("kettle", "c", fixed=False), "AC") is FAILS


def test_a_circuit_that_nobody_described_is_not_known_to_be_free_of_dc() -> None:
    verdict = on_way1(None, "AC")
    assert verdict is not None
    assert (verdict.outcome, verdict.case) == (FAILS, "not_known_free_of_dc")
    assert outcome(None, "A") is COMPLIES


def test_a_device_of_unknown_type_cannot_be_judged() -> None:
    verdict = on_way1(item("load", "c"), None)
    assert verdict is not None
    assert verdict.missing == ("devices.way1.rcd_type",)


def test_a_device_is_judged_for_the_circuits_nearest_to_it_only() -> None:
    of = house(
        selective("incomer", "A"),
        rcbo("way1", "B", fed_by="incomer"),
        circuit("c", "way1"),
        item("drive", "c", front_end=FrontEnd.SIX_PULSE_CAPACITOR),
    )
    assert set(verdicts(type_suited_to_the_loads, of)) == {"way1"}


def test_plain_circuit_breakers_have_no_type_to_judge() -> None:
    assert verdicts(type_suited_to_the_loads, house(breaker("way1"), circuit("c", "way1"))) == {}


def test_chargers_heat_pumps_and_pv_are_left_to_their_own_rules() -> None:
    for load in (charger("load", "c"), heat_pump("load", "c"), inverter("load", "c")):
        assert outcome(load, "A") is None


def test_the_type_that_a_chargers_maker_requires_is_judged_here() -> None:
    load = charger("load", "c", maker_rcd_type=RcdType.B, maker_rcd_word=MakerWord.REQUIRED)
    assert outcome(load, "A") is FAILS
    assert outcome(load, "B") is COMPLIES


def test_type_ac_before_a_separated_pv_inverter_is_refused_here() -> None:
    load = inverter("load", "c", galvanic_separation=True)
    assert outcome(load, "AC") is FAILS
    assert outcome(load, "A") is COMPLIES


def test_a_battery_inverter_without_separation_is_judged_by_its_front_end() -> None:
    load = inverter("load", "c", SourceKind.BATTERY)
    assert outcome(load, "A") is FAILS
    assert outcome(load, "B") is COMPLIES


def test_a_bare_declaration_that_type_b_is_not_needed_means_type_a() -> None:
    load = inverter("load", "c", SourceKind.BATTERY, maker_rcd_not_needed=True)
    assert outcome(load, "A") is COMPLIES
    verdict = on_way1(load, "AC")
    assert verdict is not None
    assert (verdict.outcome, verdict.case) == (FAILS, "maker_declares")


def test_the_neediest_of_several_plugged_in_loads_is_noted() -> None:
    facts = {"plug_in": True, "fixed": False}
    loads = (
        item("washer", "c", front_end=FrontEnd.CONVERTER_SINGLE_PHASE, **facts),
        item("computers", "c", front_end=FrontEnd.BRIDGE_POWER_FACTOR_STAGE, **facts),
        item("kettle", "c", front_end=FrontEnd.RESISTIVE, **facts),
        item("unknown", "c", front_end=None, **facts),
    )
    for order in (loads, loads[::-1]):
        of = house(rcbo("way1", "F"), circuit("c", "way1", socket_outlets=True), *order)
        verdict = verdicts(type_suited_to_the_loads, of)["way1"]
        assert (verdict.outcome, verdict.limit, verdict.related) == (ADVICE, "B", ("equipment.computers",))


def test_the_neediest_of_several_fixed_loads_is_named_in_any_order() -> None:
    loads = [item("a", "c", front_end=FrontEnd.SIX_PULSE_CHOKE), item("b", "c", front_end=FrontEnd.BRIDGE_CAPACITOR)]
    for order in (loads, loads[::-1]):
        verdict = verdicts(type_suited_to_the_loads, house(rcbo("way1", "AC"), circuit("c", "way1"), *order))["way1"]
        assert (verdict.limit, verdict.related) == ("B", ("equipment.a",))


def test_the_first_of_equally_needy_plugged_in_loads_is_noted() -> None:
    facts = {"plug_in": True, "front_end": FrontEnd.BRIDGE_POWER_FACTOR_STAGE}
    loads = [item(name, "c", **facts) for name in ("first", "second")]
    verdict = verdicts(type_suited_to_the_loads, house(rcbo("way1"), circuit("c", "way1"), *loads))["way1"]
    assert verdict.related == ("equipment.first",)


def test_the_first_of_equally_needy_loads_is_named() -> None:
    loads = [item(name, "c", front_end=FrontEnd.BRIDGE_CAPACITOR) for name in ("first", "second")]
    verdict = verdicts(type_suited_to_the_loads, house(rcbo("way1", "AC"), circuit("c", "way1"), *loads))["way1"]
    assert verdict.related == ("equipment.first",)
    unknown = [item(name, "c", front_end=None) for name in ("first", "second")]
    open_ = verdicts(type_suited_to_the_loads, house(rcbo("way1", "A"), circuit("c", "way1"), *unknown))["way1"]
    assert open_.missing == ("equipment.first.front_end",)


def test_separation_and_recommendation_are_named_only_where_they_lower_the_type() -> None:
    plain = item("load", "c", front_end=FrontEnd.BRIDGE_CAPACITOR, galvanic_separation=True)
    verdict = on_way1(plain, "AC")
    assert verdict is not None
    assert verdict.case == "front_end_needs"
    word = {"maker_rcd_type": RcdType.A, "maker_rcd_word": MakerWord.RECOMMENDED}
    equal = on_way1(item("load", "c", front_end=FrontEnd.BRIDGE_CAPACITOR, **word), "AC")
    assert equal is not None
    assert equal.case == "front_end_needs"
    lower = on_way1(item("load", "c", front_end=FrontEnd.SIX_PULSE_CHOKE, **word), "AC")
    assert lower is not None
    assert lower.case == "maker_recommends"


def test_of_two_open_loads_the_one_that_could_need_more_decides() -> None:
    unknown = item("unknown", "c", front_end=None)
    hinted = item("hinted", "c", front_end=None, maker_rcd_type=RcdType.A, maker_rcd_word=MakerWord.RECOMMENDED)
    for order in ((unknown, hinted), (hinted, unknown)):
        of = house(rcbo("way1", "A"), circuit("c", "way1"), *order)
        assert verdicts(type_suited_to_the_loads, of)["way1"].missing == ("equipment.unknown.front_end",)


def test_a_separated_charger_without_a_makers_word_is_left_to_its_own_rule() -> None:
    assert outcome(charger("load", "c", galvanic_separation=True), "AC") is None
