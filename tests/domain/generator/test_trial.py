"""Judging only what depends on a choice says the same as judging the whole house anew."""

from __future__ import annotations

from random import Random

import pytest

from tests.domain.generator.drawn import LEVELS, made, with_choices
from trainer.domain.findings import Verdict
from trainer.domain.generator.generate import Made
from trainer.domain.generator.judging import rules_of
from trainer.domain.limits import limits_for
from trainer.domain.rules.registry import cases
from trainer.domain.vocabulary import Outcome

SEEDS = range(4_000, 4_060)

Said = dict[tuple[str, str], tuple[Outcome, object, object, str, tuple[str, ...]]]


def said(verdict: Verdict) -> tuple[Outcome, object, object, str, tuple[str, ...]]:
    return verdict.outcome, verdict.value, verdict.limit, verdict.case, verdict.missing


def whole(one: Made, choices: dict[str, str]) -> Said:
    """Every rule asked anew of the house with other choices: the second route."""
    house, limits = with_choices(one.task, choices), limits_for(one.task.edition)
    judged = (
        (rule.id, path, rule.judge(record, house, limits))
        for rule, path, record in cases(house, rules_of(one.task.edition))
    )
    return {(rule, path): said(verdict) for rule, path, verdict in judged if verdict is not None}


def in_parts(one: Made, choices: dict[str, str]) -> Said:
    found = dict(enumerate(one.trial.cases)) | one.trial.changed(choices)
    return {(each.rule.id, each.path): said(each.verdict) for each in found.values() if each.verdict is not None}


def drawn(one: Made, number: int, random: Random) -> dict[str, str]:
    some = random.sample(one.task.decisions, min(number, len(one.task.decisions)))
    return {each.id: random.choice(each.options).id for each in some}


@pytest.mark.parametrize("level", LEVELS)
def test_other_choices_are_judged_in_parts_as_they_are_as_a_whole(level):
    random = Random(level)
    for seed in SEEDS:
        one = made(seed, level)
        choices = drawn(one, 1 + seed % 3, random)
        assert in_parts(one, choices) == whole(one, choices), (seed, choices)


def test_after_other_choices_the_intended_ones_are_judged_as_before():
    for seed in SEEDS[:20]:
        one = made(seed, 3)
        before = in_parts(one, {})
        one.trial.failing_rule(drawn(one, 1, Random(seed)))
        assert in_parts(one, dict(one.task.key.intended)) == before == whole(one, {})
