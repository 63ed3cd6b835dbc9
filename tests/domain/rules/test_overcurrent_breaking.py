"""OC-07: passing, failing, on the limit, undetermined; expected values by hand."""

from __future__ import annotations

from typing import Any

import pytest

from tests.domain.houses import (
    BOARD,
    breaker,
    cable,
    circuit,
    everyday_supply,
    house,
    rccb,
    verdicts,
)
from trainer.domain.cables import Cable, CableType
from trainer.domain.devices import Board
from trainer.domain.findings import Verdict
from trainer.domain.rules import overcurrent
from trainer.domain.vocabulary import Outcome

BREAKING = overcurrent.RULES[3]
PASS, FAIL, UNKNOWN = Outcome.COMPLIES, Outcome.DOES_NOT_COMPLY, Outcome.UNDETERMINED


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


@pytest.mark.parametrize("fuse_a", [60.0, 100.0])
def test_a_fuse_of_up_to_100_a_is_within_the_conditions(fuse_a: float) -> None:
    supply = with_fault_current(10.0, fuse_rated_current_a=fuse_a)
    verdict = breaks(CONSUMER_UNIT, breaker("b", breaking_capacity_ka=6.0), supply=supply)
    assert (verdict.outcome, verdict.case) == (PASS, "conditional_rating")


def test_a_conditional_rating_of_more_than_16_ka_covers_as_well() -> None:
    board = Board(id=BOARD, conditional_rating_ka=25.0)
    verdict = breaks(board, breaker("b", breaking_capacity_ka=6.0), supply=with_fault_current(10.0))
    assert (verdict.outcome, verdict.case, verdict.limit) == (PASS, "conditional_rating", 25.0)


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
