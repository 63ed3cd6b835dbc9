"""The list of families: complete, referring to what exists, found by rule and by objective."""

from __future__ import annotations

import tomllib
from collections import Counter

import pytest

from trainer.domain.asks.forms import AskForm
from trainer.domain.generator.judging import RULE_BY_ID
from trainer.domain.questions.registry import ALL_FAMILIES, families_for_objective, families_for_rule, family_of
from trainer.resources import folder
from trainer.services.scenarios import scenarios

OBJECTIVES = tomllib.loads((folder("scenarios") / "objectives.toml").read_text("utf-8"))["objectives"]


def test_there_are_fifty_five_families_or_more_and_each_has_its_own_id():
    assert len({each.id for each in ALL_FAMILIES}) == len(ALL_FAMILIES) >= 55


def test_all_forty_eight_objectives_are_exercised():
    assert len(OBJECTIVES) == 48
    assert [each for each in OBJECTIVES if not families_for_objective(each)] == []
    assert {name for each in ALL_FAMILIES for name in each.objectives} <= set(OBJECTIVES)


def test_all_six_forms_are_used_more_than_once():
    counted = Counter(each.form for each in ALL_FAMILIES)
    assert set(counted) == set(AskForm)
    assert min(counted.values()) >= 2


@pytest.mark.parametrize("family", ALL_FAMILIES, ids=lambda each: each.id)
def test_a_family_rests_on_rules_of_the_book_and_on_known_misconceptions(family):
    assert family.rules
    assert set(family.rules) <= set(RULE_BY_ID)
    assert family.misconceptions
    assert set(family.misconceptions) <= set(scenarios().misconceptions)
    assert 1 <= family.level <= 5


def test_every_level_has_families_of_several_forms():
    for level in range(1, 6):
        assert len({each.form for each in ALL_FAMILIES if each.level == level}) >= 2, level
    assert sum(each.level == 5 for each in ALL_FAMILIES) >= 8


def test_an_order_is_asked_for_in_several_subjects():
    asked = [each for each in ALL_FAMILIES if each.form is AskForm.ORDER]
    assert len({each.objectives[0] for each in asked}) >= 6


def test_families_are_found_by_rule():
    assert [each.id for each in families_for_rule("RCD-05")] == [
        "leakage_left_to_use",
        "how_many_within_30_percent",
        "codes_of_observations",
        "code_of_one_observation",
        "devices_beyond_30_percent",
        "devices_by_their_share_of_leakage",
    ]
    assert families_for_rule("none") == ()


def test_a_family_is_found_by_its_id():
    assert family_of("leakage_left_to_use").form is AskForm.NUMBER
    with pytest.raises(KeyError):
        family_of("none")


def test_most_families_have_two_wordings():
    words = scenarios().questions
    assert all(len(words[each.id].question) >= 2 for each in ALL_FAMILIES)
