"""HP-04 and HP-05: passing, failing or advice, on the limit, undetermined."""

from __future__ import annotations

from typing import Any

import pytest

from tests.domain.houses import BOARD, breaker, circuit, fuse, heat_pump, house, item, rcbo, verdicts
from trainer.domain.devices import Board
from trainer.domain.equipment import EquipmentKind, Motor
from trainer.domain.rules import heat_pump as rules_of_heat_pumps
from trainer.domain.vocabulary import Curve, Outcome

START, SHEET = rules_of_heat_pumps.RULES
PASS, FAIL, ADVICE, UNKNOWN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.ADVICE, Outcome.UNDETERMINED


def start(device: Any, direct: bool = True, amps: float | None = 60.0) -> Any:
    motor = Motor(direct_on_line=direct, starting_current_a=amps)
    home = house(device, circuit("c", "b"), item("m", "c", EquipmentKind.MOTOR, motor=motor))
    return verdicts(START, home).get("m")


@pytest.mark.parametrize(
    ("curve", "amps", "outcome", "limit"),
    [
        (Curve.B, 60.0, PASS, 60.0),
        (Curve.B, 60.5, ADVICE, 60.0),
        (Curve.C, 100.0, PASS, 100.0),
        (Curve.C, 101.0, ADVICE, 100.0),
        (Curve.D, 200.0, PASS, 200.0),
        (Curve.D, 201.0, ADVICE, 200.0),
    ],
)
def test_a_starting_current_stays_below_the_instantaneous_range(
    curve: Curve, amps: float, outcome: Outcome, limit: float
) -> None:
    # 20 A; BS EN 60898-1: B from 3, C from 5, D from 10 times In
    verdict = start(breaker("b", curve=curve, rated_current_a=20.0), amps=amps)
    assert (verdict.outcome, verdict.case, verdict.limit, verdict.unit) == (outcome, "direct_on_line", limit, "A")
    assert verdict.related == ("devices.b",)


def test_an_rcbo_is_judged_by_its_curve_like_a_breaker() -> None:
    verdict = start(rcbo("b", rated_current_a=20.0), amps=60.5)
    assert (verdict.outcome, verdict.case, verdict.limit) == (ADVICE, "direct_on_line", 60.0)


def test_an_inverter_driven_compressor_starts_without_a_surge() -> None:
    verdict = start(breaker("b"), direct=False, amps=None)
    assert (verdict.outcome, verdict.case) == (PASS, "inverter_driven")


def test_starting_is_undetermined_without_and_silent_for_fuses() -> None:
    assert start(breaker("b"), amps=None).missing == ("equipment.m.motor.starting_current_a",)
    assert start(breaker("b", curve=None)).missing == ("devices.b.curve",)
    assert start(fuse("b")) is None
    assert verdicts(START, house(breaker("b"), circuit("c", "b"), item("i", "c"))) == {}
    bare = house(circuit("c", BOARD), item("m", "c", motor=Motor(direct_on_line=True, starting_current_a=60.0)))
    assert verdicts(START, bare) == {}


def sheet(rated_a: float, factor: float | None = None, **facts: Any) -> Any:
    board = Board(id=BOARD, rated_diversity_factor=factor)
    home = house(board, breaker("b", rated_current_a=rated_a), circuit("c", "b"), heat_pump("hp", "c", **facts))
    return verdicts(SHEET, home).get("hp")


@pytest.mark.parametrize(
    ("rated_a", "outcome", "case"),
    [
        (16.0, PASS, "maximum_device"),
        (20.0, PASS, "maximum_device"),
        (25.0, FAIL, "maximum_device"),
        (15.0, FAIL, "minimum_circuit_current"),
    ],
)
def test_the_device_lies_within_the_sheets_limits(rated_a: float, outcome: Outcome, case: str) -> None:
    verdict = sheet(rated_a, maker_maximum_overcurrent_device_a=20.0, maker_minimum_circuit_current_a=16.0)
    assert (verdict.outcome, verdict.case, verdict.value) == (outcome, case, rated_a)
    assert verdict.related == ("devices.b",)


def test_a_sheet_with_one_limit_is_judged_by_that() -> None:
    least = sheet(16.0, maker_minimum_circuit_current_a=16.0)
    assert (least.outcome, least.case, least.limit) == (PASS, "minimum_circuit_current", 16.0)
    most = sheet(20.0, maker_maximum_overcurrent_device_a=20.0)
    assert (most.outcome, most.case, most.limit) == (PASS, "maximum_device", 20.0)


@pytest.mark.parametrize(("load_a", "outcome"), [(15.9, PASS), (16.0, PASS), (16.1, FAIL)])
def test_a_full_enclosure_lowers_what_a_device_carries(load_a: float, outcome: Outcome) -> None:
    # 20 A x 0.8 = 16 A
    verdict = sheet(20.0, 0.8, rated_current_a=load_a)
    assert (verdict.outcome, verdict.case, verdict.value, verdict.limit) == (
        outcome,
        "rated_diversity",
        load_a,
        pytest.approx(16.0),
    )


def test_the_sheet_comes_first_and_the_enclosure_second() -> None:
    both = {"maker_maximum_overcurrent_device_a": 20.0, "rated_current_a": 18.0}
    assert sheet(20.0, 0.8, **both).case == "rated_diversity"
    assert sheet(20.0, 0.9, **both).case == "maximum_device"
    assert sheet(25.0, 0.1, **both).case == "maximum_device"


def test_the_sheet_is_undetermined_without_a_current_and_silent_without_facts() -> None:
    verdict = sheet(20.0, 0.8, rated_current_a=None)
    assert (verdict.outcome, verdict.missing) == (UNKNOWN, ("equipment.hp.rated_current_a",))
    assert sheet(20.0) is None
    fed = (breaker("b"), circuit("c", "b"))
    other = item("i", "c", maker_maximum_overcurrent_device_a=6.0)
    assert verdicts(SHEET, house(*fed, other)) == {}
    bare = heat_pump("hp", "c", maker_maximum_overcurrent_device_a=6.0)
    assert verdicts(SHEET, house(circuit("c", BOARD), bare)) == {}


@pytest.mark.parametrize("kind", [each for each in EquipmentKind if each is not EquipmentKind.HEAT_PUMP])
def test_the_sheets_of_other_equipment_are_not_judged_here(kind: EquipmentKind) -> None:
    other = item("i", "c", kind, maker_maximum_overcurrent_device_a=6.0)
    assert verdicts(SHEET, house(breaker("b"), circuit("c", "b"), other)) == {}
