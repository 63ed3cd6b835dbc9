"""Where a learner stands, and how sure that is."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from scipy.stats import binomtest

from trainer.services.plan.standing import Standing, wilson
from trainer.services.plan.words import Sureness

NOON = datetime(2026, 11, 2, 12, 0, tzinfo=UTC)


def standing(decisions: int, marks: int, available: int) -> Standing:
    return Standing(objective_id="LO01", decisions=decisions, marks=marks, marks_available=available, last_at=NOON)


# R. G. Newcombe, Statistics in Medicine 17 (1998) 857-872, Table I, method 3; quoted from memory.
NEWCOMBE = [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)]


@pytest.mark.parametrize(("right", "number", "low", "high"), NEWCOMBE)
def test_the_interval_is_the_published_one(right: int, number: int, low: float, high: float) -> None:
    found = wilson(right / number, number)
    assert (found.low, found.high) == pytest.approx((low, high), abs=5e-5)


@pytest.mark.parametrize(("right", "number"), [(1, 2), (7, 9), (30, 30), (0, 1)])
def test_the_interval_is_that_of_scipy(right: int, number: int) -> None:
    theirs = binomtest(right, number).proportion_ci(0.95, method="wilson")
    assert tuple(theirs) == pytest.approx((wilson(right / number, number).low, wilson(right / number, number).high))


def test_nothing_known_is_everything_possible() -> None:
    assert (wilson(0.0, 0).low, wilson(0.0, 0).high) == (0.0, 1.0)
    assert standing(0, 0, 0).sureness is Sureness.NONE


def test_the_interval_rests_on_decisions_and_not_on_marks() -> None:
    """Three decisions of four marks each are three tries, however many marks they carry."""
    assert standing(3, 12, 12).interval == wilson(1.0, 3)


def test_a_few_decisions_are_provisional_and_many_are_well_supported() -> None:
    assert standing(3, 3, 3).sureness is Sureness.LITTLE
    assert standing(10, 10, 10).sureness is Sureness.SOME
    assert standing(40, 38, 40).sureness is Sureness.GOOD
