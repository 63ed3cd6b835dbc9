"""Heat pumps by their maker's word or their front end, and what a maker only recommends.

Outside values: a six-pulse bridge, a three-phase converter and a power-factor stage ask for type B, a
single-phase converter for F (BS 7671 531.3.3 and Annex A53, from memory); the maker's word by 134.1.1
and 510.3 (seen in a public text). That a recommendation is advice is common practice, no source.
"""

from __future__ import annotations

import pytest

from tests.domain.houses import (
    breaker,
    changed,
    circuit,
    heat_pump,
    house,
    item,
    rcbo,
    verdicts,
)
from trainer.domain.equipment import EquipmentKind
from trainer.domain.findings import Verdict
from trainer.domain.rules.rcd_type import (
    heat_pump_by_its_front_end,
    heat_pump_by_its_maker,
    makers_recommendation,
)
from trainer.domain.vocabulary import FrontEnd, MakerWord, Outcome, RcdType

COMPLIES, FAILS, ADVICE, OPEN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.ADVICE, Outcome.UNDETERMINED


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


@pytest.mark.parametrize("kind", [each for each in EquipmentKind if each is not EquipmentKind.HEAT_PUMP])
def test_other_equipment_is_no_heat_pump(kind: EquipmentKind) -> None:
    drive = item("drive", "c", kind, front_end=FrontEnd.SIX_PULSE_CHOKE)
    by_maker = changed(drive, maker_rcd_type=RcdType.B, maker_rcd_word=MakerWord.REQUIRED)
    for each in (drive, by_maker):
        of = house(rcbo("way1", "AC"), circuit("c", "way1"), each)
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


@pytest.mark.parametrize(("rating_ma", "expected"), [(100.0, COMPLIES), (30.0, ADVICE), (300.0, ADVICE), (None, OPEN)])
def test_another_rating_than_the_recommended_one_is_advice(rating_ma: float | None, expected: Outcome) -> None:
    # Read from text as a file brings it, so that equal ratings are two numbers.
    verdict = recommended("F", rating_ma, maker_rcd_rated_residual_operating_current_ma=float("100"))
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


def test_a_required_device_that_is_not_there_is_a_failure() -> None:
    pump = heat_pump("pump", "c", maker_rcd_type=RcdType.A, maker_rcd_word=MakerWord.REQUIRED)
    of = house(breaker("way1"), circuit("c", "way1"), pump)
    assert verdicts(heat_pump_by_its_maker, of)["pump"].outcome is FAILS
