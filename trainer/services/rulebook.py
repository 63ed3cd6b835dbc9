"""The rule book as something to read: every rule with what answers it and what it is found in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trainer.domain.answers.misconceptions import Misconception
from trainer.domain.errors import UnknownNameError, unknown
from trainer.domain.findings import Finding
from trainer.domain.installation import Installation
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Rule, judge
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition, Outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedExample:
    """One finding of a rule on an installation, computed by the engine."""

    title: str
    installation: Installation
    finding: Finding


def rule_of(rule_id: str) -> Rule:
    """The rule of that id, in any spelling of its letters. *Raises* UnknownNameError."""
    for each in ALL_RULES:
        if each.id == rule_id.upper():
            return each
    raise UnknownNameError(unknown("rule", rule_id, [each.id for each in ALL_RULES], "rule"))


def matching(query: str, edition: Edition | None = None) -> list[Rule]:
    """The rules whose id, clause, statement or reason contain all words of the query."""
    words = query.lower().split()
    return [
        each
        for each in ALL_RULES
        if (edition is None or edition in each.editions) and all(word in _searched(each) for word in words)
    ]


def _searched(rule: Rule) -> str:
    parts = (rule.id, rule.name.replace("_", " "), rule.citation.clause, rule.statement, rule.why)
    return " ".join(parts).lower()


def subject_of(rule: Rule) -> str:
    """The module in which the rule stands, as its subject: ``charger_earthing``."""
    return rule.judge.__module__.rpartition(".")[2]


def worked_examples(
    rule: Rule,
    houses: Sequence[Installation],
    edition: Edition = DEFAULT_EDITION,
) -> list[WorkedExample]:
    """For each outcome the first finding of the rule on the given installations."""
    found: dict[Outcome, WorkedExample] = {}
    for house in houses:
        for finding in judge(house, [rule], edition):
            found.setdefault(
                finding.outcome,
                WorkedExample(title=house.title, installation=house, finding=finding),
            )
    return [found[outcome] for outcome in Outcome if outcome in found]


def answering(rule: Rule, catalogue: Sequence[Misconception]) -> list[Misconception]:
    """The misconceptions that the rule answers."""
    return [each for each in catalogue if each.rule == rule.id or any(sign.rule == rule.id for sign in each.signs)]
