"""Editions compared, sources listed, terms told."""

from __future__ import annotations

import re
from pathlib import Path

from trainer.domain.rules.book import ALL_RULES
from trainer.domain.vocabulary import Edition
from trainer.services.rulebook.editions import changes_of, compared, edition_notes, known_changes
from trainer.services.rulebook.glossary import glossary
from trainer.services.rulebook.limit_tables import limit_tables
from trainer.services.rulebook.sources import publications


def test_the_later_edition_adds_the_rules_that_hold_in_it_only() -> None:
    come = {rule.id for rule in compared(Edition.A2_2022, Edition.A4_2026).come}
    # A3:2024 brought the regulation on direction and bidirectional charging, A4:2026 the chapter on
    # batteries and, by one page, the ban on sources below shared devices (public texts).
    assert come == {"GEN-02", "GEN-04", "V2X-01", "BAT-02"}
    assert {rule.id for rule in compared(Edition.A3_2024, Edition.A4_2026).come} == {"GEN-02", "BAT-02"}


def test_the_order_asked_for_does_not_matter() -> None:
    assert compared(Edition.A4_2026, Edition.A2_2022) == compared(Edition.A2_2022, Edition.A4_2026)


def test_an_edition_does_not_differ_from_itself() -> None:
    same = compared(Edition.A4_2026, Edition.A4_2026)
    assert (same.come, same.gone, same.limits, same.changes) == ((), (), (), ())


def test_limits_that_differ_are_those_whose_rows_differ() -> None:
    comparison = compared(Edition.A2_2022, Edition.A4_2026)
    before, after = limit_tables(Edition.A2_2022), limit_tables(Edition.A4_2026)
    assert [new.path for _, new in comparison.limits] == [
        path for path in after if before[path].rows != after[path].rows
    ]


def test_every_rule_that_an_edition_brought_has_its_change_told() -> None:
    for rule in ALL_RULES:
        if len(rule.editions) < len(Edition):
            assert changes_of(rule.id), rule.id


def test_changes_name_rules_of_the_book() -> None:
    ids = {rule.id for rule in ALL_RULES}
    assert all(set(each.rules) <= ids for each in known_changes())
    assert set(edition_notes()) == set(Edition)


def test_a_clause_not_seen_in_the_current_edition_is_counted_as_such() -> None:
    not_seen = {rule.id for rule in compared(Edition.A2_2022, Edition.A4_2026).not_seen}
    assert "RCD-01" in not_seen
    assert "BAT-02" not in not_seen  # that the chapter exists was seen
    assert "BAT-01" not in not_seen  # PAS 63100, no clause of BS 7671


def test_every_citation_belongs_to_a_publication_of_the_list() -> None:
    names = {each.name for each in publications()}
    assert {rule.citation.publication for rule in ALL_RULES} <= names
    assert {row.citation.publication for table in limit_tables().values() for row in table.rows} <= names
    assert sum(len(each.rules) for each in publications()) == len(ALL_RULES)


def test_the_glossary_of_the_pages_is_that_of_the_documentation() -> None:
    text = (Path(__file__).parents[3] / "docs" / "glossary.md").read_text("utf-8")
    rows = re.findall(r"^\| (.+?) \| (.+?) \|$", text, re.MULTILINE)
    assert [(each.term, each.meaning) for each in glossary()] == rows[1:]


def test_no_two_terms_are_said_the_same_way() -> None:
    said = [words.lower() for each in glossary() for words in each.said]
    assert len(said) == len(set(said))
