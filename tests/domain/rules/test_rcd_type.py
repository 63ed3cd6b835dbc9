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
from trainer.domain.equipment import Equipment, EquipmentKind, SourceKind
from trainer.domain.findings import Verdict
from trainer.domain.rules.rcd_type import (
    heat_pump_by_its_front_end,
    heat_pump_by_its_maker,
    makers_recommendation,
    type_before_a_pv_inverter,
    type_suited_to_the_loads,
)
from trainer.domain.vocabulary import FrontEnd, MakerWord, Outcome, RcdType

COMPLIES, FAILS, ADVICE, OPEN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.ADVICE, Outcome.UNDETERMINED

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


# --- heat pumps -----------------------------------------------------------------------------------


def pump_by_maker(rcd_type: str | None, rating_ma: float | None = 30.0, **facts: object) -> Verdict | None:
    given = {"maker_rcd_type": RcdType.B, "maker_rcd_word": MakerWord.REQUIRED} | facts
    of = house(rcbo("way1", rcd_type, rating_ma), circuit("c", "way1"), heat_pump("pump", "c", **given))
    return verdicts(heat_pump_by_its_maker, of).get("pump")


@pytest.mark.parametrize(("rcd_type", "expected"), [("B", COMPLIES), ("F", FAILS), ("A", FAILS), (None, OPEN)])
def test_a_heat_pump_has_the_type_that_its_maker_requires(rcd_type: str | None, expected: Outcome) -> None:
    verdict = pump_by_maker(rcd_type)
    assert verdict is not None
    assert verdict.outcome is expected


@pytest.mark.parametrize(("rating_ma", "expected"), [(30.0, COMPLIES), (30.1, FAILS), (100.0, FAILS)])
def test_a_heat_pump_has_the_rating_that_its_maker_requires(rating_ma: float, expected: Outcome) -> None:
    verdict = pump_by_maker("B", rating_ma, maker_rcd_rated_residual_operating_current_ma=30.0)
    assert verdict is not None
    assert (verdict.outcome, verdict.case) == (expected, "maker_requires_rating")


def test_a_required_device_that_is_not_there_fails() -> None:
    pump = heat_pump("pump", "c", maker_rcd_type=RcdType.A, maker_rcd_word=MakerWord.REQUIRED)
    of = house(breaker("way1"), circuit("c", "way1"), pump)
    assert verdicts(heat_pump_by_its_maker, of)["pump"].case == "no_residual_current_device"


def test_a_recommendation_is_no_requirement() -> None:
    assert pump_by_maker("A", maker_rcd_word=MakerWord.RECOMMENDED) is None
    assert pump_by_maker("A", maker_rcd_type=None, maker_rcd_word=None) is None


def pump_by_front_end(front_end: FrontEnd | None, rcd_type: str | None, **facts: object) -> Verdict | None:
    of = house(rcbo("way1", rcd_type), circuit("c", "way1"), heat_pump("pump", "c", front_end, **facts))
    return verdicts(heat_pump_by_its_front_end, of).get("pump")


@pytest.mark.parametrize(
    ("front_end", "rcd_type", "expected"),
    [
        (FrontEnd.SIX_PULSE_CAPACITOR, "B", COMPLIES),
        (FrontEnd.SIX_PULSE_CAPACITOR, "F", FAILS),
        (FrontEnd.BRIDGE_POWER_FACTOR_STAGE, "A", FAILS),
        (FrontEnd.CONVERTER_SINGLE_PHASE, "F", COMPLIES),
        (FrontEnd.CONVERTER_SINGLE_PHASE, "A", FAILS),
        (FrontEnd.RESISTIVE, "AC", COMPLIES),
        (None, "B", COMPLIES),
        (None, "F", OPEN),
        (FrontEnd.RESISTIVE, None, OPEN),
    ],
)
def test_a_silent_sheet_leaves_the_heat_pump_to_its_front_end(
    front_end: FrontEnd | None, rcd_type: str | None, expected: Outcome
) -> None:
    verdict = pump_by_front_end(front_end, rcd_type)
    assert verdict is not None
    assert verdict.outcome is expected


def test_a_heat_pump_whose_maker_requires_a_type_is_not_judged_by_its_front_end() -> None:
    facts = {"maker_rcd_type": RcdType.A, "maker_rcd_word": MakerWord.REQUIRED}
    assert pump_by_front_end(FrontEnd.SIX_PULSE_CAPACITOR, "A", **facts) is None


def test_no_residual_current_device_before_a_heat_pump_is_no_wrong_type() -> None:
    of = house(breaker("way1"), circuit("c", "way1"), heat_pump("pump", "c"))
    assert verdicts(heat_pump_by_its_front_end, of) == {}


def test_other_equipment_is_no_heat_pump() -> None:
    of = house(rcbo("way1", "AC"), circuit("c", "way1"), item("drive", "c", front_end=FrontEnd.SIX_PULSE_CHOKE))
    assert verdicts(heat_pump_by_its_front_end, of) == verdicts(heat_pump_by_its_maker, of) == {}


# --- recommendations -------------------------------------------------------------------------------


def recommended(rcd_type: str | None, rating_ma: float | None = 30.0, **facts: object) -> Verdict | None:
    given = {"maker_rcd_type": RcdType.F, "maker_rcd_word": MakerWord.RECOMMENDED} | facts
    of = house(rcbo("way1", rcd_type, rating_ma), circuit("c", "way1"), item("hob", "c", EquipmentKind.HOB, **given))
    return verdicts(makers_recommendation, of).get("hob")


@pytest.mark.parametrize(
    ("rcd_type", "expected", "case"),
    [
        ("F", COMPLIES, "as_recommended"),
        ("B", COMPLIES, "as_recommended"),
        ("A", ADVICE, "against_the_recommendation"),
        (None, OPEN, ""),
    ],
)
def test_going_against_a_recommendation_is_advice_only(rcd_type: str | None, expected: Outcome, case: str) -> None:
    verdict = recommended(rcd_type)
    assert verdict is not None
    assert (verdict.outcome, verdict.case) == (expected, case)


def test_a_type_whose_firmness_is_unknown_is_open_until_it_is_met() -> None:
    met, unmet = recommended("F", maker_rcd_word=None), recommended("A", maker_rcd_word=None)
    assert met is not None
    assert met.outcome is COMPLIES
    assert unmet is not None
    assert unmet.missing == ("equipment.hob.maker_rcd_word",)


@pytest.mark.parametrize(("rating_ma", "expected"), [(100.0, COMPLIES), (30.0, ADVICE), (None, OPEN)])
def test_another_rating_than_the_recommended_one_is_advice(rating_ma: float | None, expected: Outcome) -> None:
    verdict = recommended("F", rating_ma, maker_rcd_rated_residual_operating_current_ma=100.0)
    assert verdict is not None
    assert verdict.outcome is expected


def test_a_recommended_device_that_is_not_there_is_advice() -> None:
    given = {"maker_rcd_type": RcdType.A, "maker_rcd_word": MakerWord.RECOMMENDED}
    of = house(breaker("way1"), circuit("c", "way1"), item("hob", "c", **given))
    verdict = verdicts(makers_recommendation, of)["hob"]
    assert (verdict.outcome, verdict.case) == (ADVICE, "no_residual_current_device")


def test_requirements_and_silence_are_no_recommendations() -> None:
    assert recommended("A", maker_rcd_word=MakerWord.REQUIRED) is None
    assert recommended("A", maker_rcd_type=None, maker_rcd_word=None) is None


# --- PV ---------------------------------------------------------------------------------------------


def pv(rcd_type: str | None, **facts: object) -> Verdict | None:
    of = house(rcbo("way1", rcd_type), circuit("c", "way1"), inverter("pv", "c", **facts))
    return verdicts(type_before_a_pv_inverter, of).get("pv")


REQUIRED_B = {"maker_rcd_type": RcdType.B, "maker_rcd_word": MakerWord.REQUIRED}
DECLARED = {"maker_rcd_not_needed": True}


@pytest.mark.parametrize(
    ("rcd_type", "facts", "expected", "case"),
    [
        ("B", {}, COMPLIES, "type_b"),
        ("A", {}, FAILS, "type_b_needed"),
        ("F", {}, FAILS, "type_b_needed"),
        ("A", {"galvanic_separation": True}, COMPLIES, "separation"),
        ("A", DECLARED, COMPLIES, "maker_declares"),
        ("AC", DECLARED, FAILS, "maker_declares"),
        ("A", DECLARED | {"maker_rcd_type": RcdType.A, "maker_rcd_word": MakerWord.REQUIRED}, COMPLIES, "maker_states"),
        ("A", {"maker_rcd_type": RcdType.F, "maker_rcd_word": MakerWord.REQUIRED}, FAILS, "maker_states"),
        ("A", {"maker_rcd_type": RcdType.A, "maker_rcd_word": MakerWord.RECOMMENDED}, COMPLIES, "maker_states"),
        ("A", {"maker_rcd_type": RcdType.B, "maker_rcd_word": MakerWord.RECOMMENDED}, FAILS, "type_b_needed"),
        ("A", REQUIRED_B | {"galvanic_separation": True}, FAILS, "maker_states"),
    ],
)
def test_pv_needs_type_b_unless_separation_or_the_maker_allows_another(
    rcd_type: str, facts: dict[str, object], expected: Outcome, case: str
) -> None:
    verdict = pv(rcd_type, **facts)
    assert verdict is not None
    assert (verdict.outcome, verdict.case) == (expected, case)


def test_unknown_separation_leaves_types_below_b_open() -> None:
    open_, settled = pv("A", galvanic_separation=None), pv("B", galvanic_separation=None)
    assert open_ is not None
    assert open_.missing == ("equipment.pv.galvanic_separation",)
    assert settled is not None
    assert settled.outcome is COMPLIES


def test_a_device_of_unknown_type_before_pv_cannot_be_judged() -> None:
    verdict = pv(None)
    assert verdict is not None
    assert verdict.missing == ("devices.way1.rcd_type",)


def test_pv_without_a_residual_current_device_is_no_breach() -> None:
    of = house(breaker("way1"), circuit("c", "way1"), inverter("pv", "c"))
    assert verdicts(type_before_a_pv_inverter, of) == {}


@pytest.mark.parametrize(("kind", "judged"), [(SourceKind.HYBRID, True), (SourceKind.BATTERY, False)])
def test_hybrids_count_as_pv_and_batteries_do_not(kind: SourceKind, judged: bool) -> None:
    of = house(rcbo("way1", "A"), circuit("c", "way1"), inverter("unit", "c", kind))
    assert ("unit" in verdicts(type_before_a_pv_inverter, of)) is judged
