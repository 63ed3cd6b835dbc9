"""The band round a limit: computed values keep out of it, rated pairs may meet it."""

from __future__ import annotations

from trainer.domain.findings import Term, at_most
from trainer.domain.generator.margin import RATED_PAIRS, on_the_edge
from trainer.domain.rules.book import ALL_RULES


def test_a_computed_value_just_below_its_limit_is_on_the_edge():
    assert on_the_edge("OC-08", at_most(11.4, 11.5, unit="V"))


def test_a_computed_value_just_above_its_limit_is_on_the_edge_too():
    assert on_the_edge("OC-08", at_most(11.6, 11.5, unit="V"))


def test_a_value_six_percent_away_is_clear():
    assert not on_the_edge("OC-08", at_most(10.8, 11.5, unit="V"))


def test_six_milliamps_of_detection_on_six_of_tolerance_is_a_rated_pair():
    assert not on_the_edge("RCD-07", at_most(6.0, 6.0, unit="mA"))


def test_a_load_that_equals_the_rating_of_its_device_is_a_rated_pair():
    assert not on_the_edge("OC-01", at_most(32.0, 32.0, unit="A", case="design_current"))


def test_the_tabulated_rating_of_a_cable_may_equal_the_device_when_no_factor_applies():
    printed = [Term("tabulated_rating", 20.0, "A"), Term("grouping_factor", 1.0, "")]
    corrected = [Term("tabulated_rating", 25.0, "A"), Term("grouping_factor", 0.8, "")]
    assert not on_the_edge("OC-01", at_most(20.0, 20.0, unit="A", case="cable", terms=printed))
    assert on_the_edge("OC-01", at_most(20.0, 20.0, unit="A", case="cable", terms=corrected))


def test_words_have_no_edge():
    assert not on_the_edge("RCD-06", at_most(0.0, 1.0))


def test_every_exempt_rule_is_in_the_book():
    known = {rule.id for rule in ALL_RULES}
    assert {rule_id for rule_id, _ in RATED_PAIRS} <= known


def test_every_exemption_says_why():
    assert all(reason for reason in RATED_PAIRS.values())
