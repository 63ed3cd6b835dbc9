"""Rules asked one by one: what the proof of a scenario needs of them, and no more."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from typing import Any

from trainer.domain.findings import Verdict
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Over, Rule
from trainer.domain.vocabulary import Edition, Outcome

RULE_BY_ID: Mapping[str, Rule] = {rule.id: rule for rule in ALL_RULES}


@cache
def rules_of(edition: Edition) -> tuple[Rule, ...]:
    """The rules that hold in an edition."""
    return tuple(rule for rule in ALL_RULES if edition in rule.editions)


def records(house: Installation, over: Over) -> tuple[Any, ...]:
    """The records that a rule judges one by one."""
    return (house,) if over is Over.INSTALLATION else tuple(getattr(house, over.value).values())


def verdicts(house: Installation, rules: Iterable[Rule], limits: Limits) -> Iterator[tuple[Rule, Any, Verdict]]:
    """Every verdict of the rules with the record that it is about."""
    known: dict[Over, tuple[Any, ...]] = {}
    for rule in rules:
        subjects = known.get(rule.over)
        if subjects is None:
            subjects = known[rule.over] = records(house, rule.over)
        for record in subjects:
            verdict = rule.judge(record, house, limits)
            if verdict is not None:
                yield rule, record, verdict


def fails(rule: Rule, house: Installation, limits: Limits) -> bool:
    """True when a rule fails anywhere in a house."""
    return any(verdict.outcome is Outcome.DOES_NOT_COMPLY for _, _, verdict in verdicts(house, (rule,), limits))
