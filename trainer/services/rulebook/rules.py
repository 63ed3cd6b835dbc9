"""The rule book as something to read: its rules, their subjects, what each of them answers."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.domain.answers.misconceptions import Misconception
from trainer.domain.errors import UnknownNameError, unknown
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Rule
from trainer.services.rulebook.search import matching

__all__ = ["answering", "matching", "rule_of", "subject_of"]


def rule_of(rule_id: str) -> Rule:
    """The rule of that id, in any spelling of its letters. *Raises* UnknownNameError."""
    for each in ALL_RULES:
        if each.id == rule_id.upper():
            return each
    raise UnknownNameError(unknown("rule", rule_id, [each.id for each in ALL_RULES], "rule"))


def subject_of(rule: Rule) -> str:
    """The module in which the rule stands, as its subject: ``charger_earthing``."""
    return rule.judge.__module__.rpartition(".")[2]


def answering(rule: Rule, catalogue: Sequence[Misconception]) -> list[Misconception]:
    """The misconceptions that the rule answers."""
    return [each for each in catalogue if each.rule == rule.id or any(sign.rule == rule.id for sign in each.signs)]
