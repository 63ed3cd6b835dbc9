"""Item figures and reliability against scipy, numpy and a worked example."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from scipy import stats

from trainer.domain.figures.items import choice_figures, correlation, item_figures
from trainer.domain.figures.reliability import reliability

RNG = np.random.default_rng(20261125)
PEOPLE, ITEMS = 60, 8
ABILITY = RNG.normal(size=(PEOPLE, 1))
RIGHT = (ABILITY + RNG.normal(size=(PEOPLE, ITEMS)) > RNG.normal(size=(1, ITEMS))).astype(float)
MARKS = {f"q{number}": 1.0 for number in range(ITEMS)}
SITTINGS = [dict(zip(MARKS, row, strict=True)) for row in RIGHT.tolist()]


def test_discrimination_of_right_or_wrong_items_is_scipys_point_biserial_with_the_rest():
    # scipy.stats.pointbiserialr, the item's own mark taken out of the total.
    for number, each in enumerate(item_figures(SITTINGS, MARKS)):
        rest = RIGHT.sum(axis=1) - RIGHT[:, number]
        expected = stats.pointbiserialr(RIGHT[:, number].astype(bool), rest).statistic
        assert each.discrimination == pytest.approx(expected, abs=1e-12)
        assert each.facility == pytest.approx(RIGHT[:, number].mean())
        assert each.sittings == PEOPLE
        assert not each.is_provisional


def test_alpha_of_right_or_wrong_items_is_kr_20():
    # KR-20 = k/(k-1) (1 - sum pq / variance of totals), both with n below the line; by numpy.
    p = RIGHT.mean(axis=0)
    kr20 = ITEMS / (ITEMS - 1) * (1 - (p * (1 - p)).sum() / RIGHT.sum(axis=1).var())
    found = reliability(SITTINGS, MARKS)
    assert found is not None
    assert found.alpha == pytest.approx(kr20, abs=1e-12)
    assert found.low < found.alpha < found.high < 1


def test_alpha_of_a_worked_example():
    # By hand: three items, four people, totals 0, 1, 2, 3.
    # Variances of the items 1/4, 1/3, 1/4; of the totals 5/3; alpha = 3/2 * (1 - (5/6) / (5/3)) = 0.75.
    rows = [(0, 0, 0), (1, 0, 0), (1, 1, 0), (1, 1, 1)]
    marks = {"a": 1.0, "b": 1.0, "c": 1.0}
    found = reliability([dict(zip(marks, map(float, row), strict=True)) for row in rows], marks)
    assert found is not None
    assert found.alpha == pytest.approx(0.75)
    assert found.standard_error_marks == pytest.approx((5 / 3 * 0.25) ** 0.5)
    assert found.is_provisional


def test_the_interval_covers_the_true_value_about_as_often_as_it_says():
    # Second method: draws of parallel normal items, whose alpha is known to be k r / (1 + (k-1) r), r = 0.5.
    generator = np.random.default_rng(7)
    k, n, true = 6, 40, 6 * 0.5 / (1 + 5 * 0.5)
    marks = {f"i{number}": 1.0 for number in range(k)}
    covered = 0
    for _ in range(400):
        values = generator.normal(size=(n, 1)) + generator.normal(size=(n, k))
        found = reliability([dict(zip(marks, row, strict=True)) for row in values.tolist()], marks)
        assert found is not None
        covered += found.low <= true <= found.high
    assert 0.92 <= covered / 400 <= 0.98


def test_the_number_of_marks_weighs_an_item_in_alpha():
    marks = {"a": 4.0, "b": 1.0, "c": 2.0}
    rows = [dict(zip(marks, row, strict=True)) for row in itertools.product((0.0, 1.0), repeat=3)]
    matrix = np.array([[marks[name] * row[name] for name in marks] for row in rows])
    expected = 3 / 2 * (1 - matrix.var(axis=0, ddof=1).sum() / matrix.sum(axis=1).var(ddof=1))
    found = reliability(rows, marks)
    assert found is not None
    assert found.alpha == pytest.approx(expected)


def test_where_everybody_is_alike_nothing_is_said():
    same = [{"a": 1.0, "b": 1.0}] * 40
    assert reliability(same, {"a": 1.0, "b": 1.0}) is None
    assert [each.discrimination for each in item_figures(same, {"a": 1.0, "b": 1.0})] == [None, None]
    assert correlation([0.1] * 5, [0.3, 0.2, 0.5, 0.4, 0.9]) is None


def test_a_voided_item_and_a_missing_one_are_left_out():
    rows = [{"a": 1.0, "b": 0.0}, {"a": 0.0}, {"a": 1.0, "b": 1.0}]
    first, second = item_figures(rows, {"a": 1.0, "b": 1.0})
    assert (first.sittings, second.sittings) == (3, 2)
    assert reliability(rows, {"a": 1.0, "b": 1.0}) is None


def test_choices_are_counted_with_what_those_who_made_them_earned():
    table = choice_figures([("A", False, 0.2), ("B", True, 0.9), ("A", False, 0.4), ("B", True, 0.7), ("B", True, 0.8)])
    assert [(each.chosen, each.times, each.is_right) for each in table] == [("B", 3, True), ("A", 2, False)]
    assert [each.mean_share for each in table] == pytest.approx([0.8, 0.3])
