"""A row for each kind of verdict: what explanations are written for."""

from __future__ import annotations

from typing import NamedTuple

from tests.domain.houses import verdicts
from trainer.domain.findings import Finding
from trainer.domain.installation import Installation
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Rule
from trainer.domain.vocabulary import Outcome

BY_ID: dict[str, Rule] = {rule.id: rule for rule in ALL_RULES}


class Row(NamedTuple):
    """A rule on a house: the outcome, case, unit and terms that it must give for one subject."""

    rule: str
    subject: str
    of: Installation
    words: tuple[Outcome, str, str]
    terms: tuple[str, ...]


def row(rule: str, subject: str, of: Installation, outcome: Outcome, case: str, unit: str, *terms: str) -> Row:
    """One row; a term is its name and its unit."""
    return Row(rule, subject, of, (outcome, case, unit), terms)


def name_of(each: Row) -> str:
    """The row as pytest shows it."""
    return f"{each.rule}-{each.words[1]}-{each.words[0]}"


def check(each: Row) -> None:
    """The verdict has the words and the terms of the row."""
    verdict = verdicts(BY_ID[each.rule], each.of)[each.subject]
    assert (verdict.outcome, verdict.case, verdict.unit) == each.words
    shown = Finding(BY_ID[each.rule], each.subject, verdict).terms
    assert tuple(f"{term.name} {term.unit}".strip() for term in shown) == each.terms
