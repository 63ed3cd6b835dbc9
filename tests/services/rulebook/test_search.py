"""Searching the rule book in the trade's own words."""

from __future__ import annotations

import pytest

from trainer.domain.rules.book import ALL_RULES
from trainer.domain.vocabulary import Edition
from trainer.services.rulebook.pages import synonyms
from trainer.services.rulebook.search import matching


def found(query: str, edition: Edition | None = None) -> list[str]:
    return [rule.id for rule in matching(query, edition)]


def test_no_query_finds_every_rule() -> None:
    assert len(found("")) == len(ALL_RULES)


@pytest.mark.parametrize(
    ("query", "wanted"),
    [
        ("RCD", "RCD-01"),
        ("Zs", "OC-02"),
        ("earth rod", "RCD-09"),
        ("earth rods", "RCD-10"),
        ("DC", "RCD-07"),
        ("d.c.", "RCD-07"),
        ("solar", "PV-06"),
        ("EV charger", "EV-08"),
        ("volt drop", "OC-08"),
        ("main fuse", "OC-12"),
        ("lost neutral", "EV-04"),
        ("MCB", "OC-01"),
        ("AFDD", "AFDD-01"),
        ("G99", "DNO-02"),
        ("nuisance tripping", "RCD-05"),
        ("bathroom", "LOC-01"),
        ("411.3.3", "RCD-01"),
        ("701.411", "LOC-01"),
        ("rcd-07b", "RCD-07B"),
    ],
)
def test_the_trades_word_finds_the_rule(query: str, wanted: str) -> None:
    assert wanted in found(query)


def test_every_word_must_be_found() -> None:
    assert found("loop zebra") == []


def test_a_short_word_is_matched_whole() -> None:
    assert "EV-08" not in found("tt")


def test_a_word_narrows_what_another_found() -> None:
    both = set(found("solar fuse"))
    assert both < set(found("solar"))
    assert "PV-08" in both


def test_an_edition_leaves_out_what_it_does_not_hold() -> None:
    assert "GEN-04" in found("direction", Edition.A3_2024)
    assert "GEN-04" not in found("direction", Edition.A2_2022)


def test_every_group_of_synonyms_finds_something() -> None:
    assert [sorted(group) for group in synonyms() if not found(sorted(group)[0])] == []
