"""What the pages say beside the rules: nothing missing, nothing left over."""

from __future__ import annotations

import re

import pytest

from tests.services.rulebook_examples import IDS, RULES, example
from trainer.explain.attributes import attribute_words
from trainer.explain.values import value_words
from trainer.services.rulebook.limit_tables import limit_tables
from trainer.services.rulebook.pages import PageTextError, _text, page_texts

_ID = re.compile(r"\b[A-Z][A-Z0-9]{1,4}-\d{2}[A-Z]?\b")


def test_every_rule_has_a_page_text_and_no_text_is_left_over() -> None:
    assert set(page_texts()) == set(IDS)


@pytest.mark.parametrize("rule_id", IDS)
def test_a_page_says_the_condition_in_sentences_and_names_a_gap(rule_id: str) -> None:
    text = page_texts()[rule_id]
    assert len(text.condition) > 40
    assert text.condition.endswith(".")
    assert text.not_covered
    assert all(each.endswith(".") for each in text.not_covered)


@pytest.mark.parametrize("rule_id", IDS)
def test_a_page_names_only_rules_that_exist(rule_id: str) -> None:
    text = page_texts()[rule_id]
    named = set(_ID.findall(" ".join((text.condition, *text.not_covered))))
    assert named - RULES.keys() == set()


@pytest.mark.parametrize("rule_id", IDS)
def test_a_page_shows_limits_that_exist(rule_id: str) -> None:
    assert set(page_texts()[rule_id].limits) <= set(limit_tables())


@pytest.mark.parametrize("rule_id", IDS)
def test_the_value_that_an_example_moves_has_words(rule_id: str) -> None:
    worked = example(rule_id)
    assert worked.called or attribute_words(worked.installation, worked.path, str)
    for case in (*worked.cases, *worked.each_value):
        assert "_" not in value_words(worked.path, case.value, str)


def test_a_text_that_lacks_a_part_is_refused_by_name() -> None:
    with pytest.raises(PageTextError, match=r"here: too many \[\], missing \['example', 'not_covered'\]"):
        _text({"condition": "Something."}, "here")


def test_a_text_with_a_part_too_many_is_refused_by_name() -> None:
    entry = {"condition": "", "not_covered": [], "example": {}, "colour": ""}
    with pytest.raises(PageTextError, match="colour"):
        _text(entry, "here")
