"""The rule book and the fault walks compared: that they agree, and that the comparison would notice."""

from __future__ import annotations

from pathlib import Path

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
)
from trainer.domain.equipment import BuiltInResidualDevice
from trainer.domain.installation import Installation
from trainer.domain.vocabulary import DEFAULT_EDITION, FrontEnd, MakerWord, RcdType, Stated
from trainer.services.agreement import routes
from trainer.services.agreement.comparing import Agreement, compare_house, compare_seeds
from trainer.services.agreement.exceptions import EXCEPTIONS
from trainer.services.agreement.routes import Question, answers_for

ROOT = Path(__file__).parents[3]
PFC = FrontEnd.BRIDGE_POWER_FACTOR_STAGE


def compared(of: Installation) -> Agreement:
    result = Agreement()
    compare_house(result, of, DEFAULT_EDITION)
    return result


def both(of: Installation, device: str, question: Question) -> tuple[bool | None, bool | None]:
    (found,) = (
        each for each in answers_for(of, DEFAULT_EDITION) if each.device.id == device and each.question is question
    )
    return found.rule_fails, found.walk_fails


def below_shared(load: object, shared: str = "A") -> Installation:
    return house(
        rccb("shared", shared),
        breaker("m1", fed_by="shared"),
        breaker("m2", fed_by="shared"),
        circuit("sockets", "m1", socket_outlets=True),
        circuit("c", "m2"),
        load,  # type: ignore[arg-type]
    )


def in_series(upper: str, lower: str, load: object) -> Installation:
    return house(
        rccb("incomer", upper, 100.0, fed_by="main"),
        rcbo("way1", lower, fed_by="incomer"),
        breaker("m2", fed_by="incomer"),
        circuit("c", "way1"),
        circuit("heater", "m2"),
        item("shower", "heater"),
        load,  # type: ignore[arg-type]
    )


def test_over_generated_houses_every_disagreement_has_a_name():
    result = compare_seeds(range(40))
    assert [str(each) for each in result.unexplained] == []
    assert result.compared > 500
    assert result.failing > 50


@pytest.mark.slow
def test_over_two_thousand_seeds_every_disagreement_has_a_name():
    result = compare_seeds(range(2000), proposals=3)
    assert [str(each) for each in result.unexplained] == []


@pytest.mark.parametrize("front_end", list(FrontEnd))
@pytest.mark.parametrize("rcd_type", list(RcdType))
def test_for_each_front_end_and_type_both_routes_say_the_same(front_end, rcd_type):
    of = house(rcbo("way1", rcd_type), circuit("c", "way1"), item("load", "c", front_end=front_end))
    rule_fails, walk_fails = both(of, "way1", Question.TYPE)
    assert rule_fails == walk_fails


@pytest.mark.parametrize(
    ("upper", "lower", "front_end", "fails"),
    [
        ("A", "B", FrontEnd.SIX_PULSE_CAPACITOR, True),
        ("F", "B", FrontEnd.SIX_PULSE_CAPACITOR, True),
        ("B", "B", FrontEnd.SIX_PULSE_CAPACITOR, False),
        ("A", "A", FrontEnd.BRIDGE_CAPACITOR, False),
        ("AC", "A", FrontEnd.BRIDGE_CAPACITOR, True),
        ("AC", "AC", FrontEnd.RESISTIVE, False),
        ("A", "A", PFC, True),
    ],
)
def test_of_devices_in_series_both_routes_say_the_same(upper, lower, front_end, fails):
    of = in_series(upper, lower, item("load", "c", front_end=front_end))
    assert both(of, "way1", Question.PASSES) == (fails, fails)


def test_two_detectors_below_one_type_a_device_are_too_many_by_both_routes():
    of = house(
        rccb("shared"),
        rcbo("way1", fed_by="shared"),
        rcbo("way2", fed_by="shared"),
        breaker("m3", fed_by="shared"),
        circuit("one", "way1"),
        circuit("two", "way2"),
        circuit("heater", "m3"),
        charger("first", "one"),
        charger("second", "two"),
        item("shower", "heater"),
    )
    assert both(of, "shared", Question.SEVERAL) == (True, True)
    assert both(of, "way1", Question.PASSES) == (False, False)


def test_standing_dc_adds_by_both_routes():
    loads = [item(f"load{n}", f"c{n}", standing_dc_ma=4.0) for n in (1, 2)]
    of = house(
        rccb("shared"),
        *(breaker(f"m{n}", fed_by="shared") for n in (1, 2)),
        *(circuit(f"c{n}", f"m{n}") for n in (1, 2)),
        *loads,
    )
    assert both(of, "shared", Question.STANDING) == (True, True)


STATED = {"maker_rcd_word": MakerWord.REQUIRED}
OWN = BuiltInResidualDevice(standard="BS EN 61008-1", rcd_type=RcdType.A, rated_residual_operating_current_ma=30.0)
BY_NAME = {
    "maker-states-less-than-the-front-end": below_shared(
        heat_pump("hp", "c", PFC, maker_rcd_type=RcdType.A, **STATED)
    ),
    "plugged-in-load-is-noted-only": below_shared(item("pc", "c", front_end=PFC, plug_in=True)),
    "maker-requires-more-than-the-front-end": house(
        rcbo("way1"), circuit("c", "way1"),
        heat_pump("hp", "c", FrontEnd.BRIDGE_CAPACITOR, maker_rcd_type=RcdType.B, **STATED),
    ),
    "a-charger-asks-for-type-a": house(
        rcbo("way1", "AC"), circuit("c", "way1"),
        charger("car", "c", front_end=FrontEnd.INVERTER_FULL_BRIDGE, direct_current_detection=Stated.YES),
    ),
    "separation-still-asks-for-type-a": house(
        rcbo("way1", "AC"), circuit("c", "way1"), inverter("roof", "c", galvanic_separation=True)
    ),
    "type-b-is-judged-without-its-load": in_series("A", "B", item("load", "c")),
    "type-ac-is-judged-by-its-type": house(
        rcbo("way1", "AC"), circuit("c", "way1"), item("load", "c", standing_dc_ma=0.2)
    ),
    "nobody-else-below-the-device-above": house(
        rcbo("way1", "AC"), circuit("c", "way1"), charger("car", "c", built_in_rcd=OWN)
    ),
    "monitoring-clears-a-large-leak": house(
        rcbo("way1", "F", 300.0), circuit("c", "way1"), inverter("roof", "c", residual_monitoring=True)
    ),
    "middle-of-a-three-phase-link": house(
        rcbo("way1"), circuit("c", "way1", phases=3),
        charger("car", "c", front_end=FrontEnd.SIX_PULSE_CAPACITOR, phases=3), phases=3,
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", list(EXCEPTIONS))
def test_each_named_exception_explains_its_case_and_no_other_name_does(name):
    result = compared(BY_NAME[name])
    assert name in result.explained
    assert result.unexplained == []


def test_every_named_exception_has_its_reason_in_the_docs():
    text = (ROOT / "docs" / "agreement.md").read_text("utf-8")
    section = text.partition("## Named exceptions")[2].partition("\n## ")[0]
    parts = section.split("\n### ")[1:]
    reasons = {part.partition("\n")[0]: part.partition("\n")[2].strip() for part in parts}
    assert list(reasons) == list(EXCEPTIONS)
    assert all(len(reason) > 100 for reason in reasons.values())


def test_the_comparison_notices_when_the_walks_see_nothing(monkeypatch):
    monkeypatch.setattr(routes, "fault_walks", lambda *_: ())
    result = compared(below_shared(heat_pump("hp", "c", PFC)))
    assert [each.answers.question for each in result.unexplained] == [Question.TYPE]
    assert "devices.shared (type): rules fail" in str(result.unexplained[0])


def test_the_comparison_notices_when_the_rules_say_nothing(monkeypatch):
    monkeypatch.setattr(routes, "judge", lambda *_: [])
    silent = charger("car", "c", direct_current_detection=Stated.SILENT)
    assert len(compared(below_shared(silent)).unexplained) == 1


def test_what_a_route_cannot_tell_is_counted_apart():
    result = compared(house(rcbo("way1", None), circuit("c", "way1"), item("load", "c", front_end=PFC)))
    assert result.open >= 1
    assert result.unexplained == []
