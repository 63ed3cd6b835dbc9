"""Properties over many seeds: provable, with a trap that bites, off every edge, all different.

The rules are the oracle: what was planted is found, and nothing else. One seed of the sample is one
house; the longer run is marked slow.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import islice

import pytest

from tests.domain.generator.drawn import LEVELS, findings, with_choices
from trainer.domain.findings import Finding
from trainer.domain.generator.generate import Made, make
from trainer.domain.generator.margin import on_the_edge
from trainer.domain.generator.request import TaskRequest
from trainer.domain.tasks import Task
from trainer.domain.vocabulary import Outcome
from trainer.services.scenarios import scenarios

FIRST_SEED = 10_000
HONEST = "honest_house"
NORMAL = 2_500
SLOW = 16_000
CHECKED_WHOLE = 6
"""Every so many-th task is also judged whole with each trap in it, which costs ten times as much."""


def many(count: int, first: int = FIRST_SEED) -> Iterator[Made]:
    for number in range(count):
        yield make(TaskRequest(seed=first + number, level=LEVELS[number % len(LEVELS)]), scenarios())


def failing(found: list[Finding]) -> set[str]:
    return {finding.rule.id for finding in found if finding.fails}


def check_intended(one: Task) -> None:
    for finding in findings(with_choices(one, {})):
        assert finding.outcome in (Outcome.COMPLIES, Outcome.ADVICE), (one.seed, one.level, finding)
        assert not on_the_edge(finding.rule.id, finding.verdict), (one.seed, one.level, finding)


def check_traps(one: Task) -> None:
    for trap in one.key.traps:
        found = failing(findings(with_choices(one, {trap.decision: trap.option})))
        assert trap.rule in found, (one.seed, one.level, trap)
        spec = scenarios().traps[trap.id]
        assert trap.rule in spec.rules
        assert found <= {*spec.rules, *spec.also}, (one.seed, one.level, trap, found)


def check(count: int, first: int = FIRST_SEED) -> list[Made]:
    kept = []
    for number, each in enumerate(many(count, first)):
        one = each.task
        assert one.key.traps or each.focus == HONEST, one.seed
        assert set(one.key.intended) == {decision.id for decision in one.decisions}
        if number // len(LEVELS) % CHECKED_WHOLE == 0:
            check_intended(one)
            check_traps(one)
        kept.append(each)
    return kept


@pytest.fixture(scope="module")
def sample() -> list[Made]:
    return check(NORMAL)


def test_every_seed_gives_a_proven_scenario_whose_faults_are_those_that_were_planted(sample):
    assert len(sample) == NORMAL


def test_redraws_are_rare(sample):
    reasons = Counter(r.split(":")[0] for each in sample for r in each.redraws)
    assert reasons["reading"] < 0.4 * len(sample), reasons
    assert reasons.total() - reasons["reading"] < 0.4 * len(sample), reasons


def test_no_two_seeds_of_a_level_give_the_same_scenario(sample):
    contents = Counter(
        (each.task.level, each.task.title, each.task.story, each.task.pack, tuple(d.id for d in each.task.decisions))
        for each in sample
    )
    assert max(contents.values()) == 1


def test_every_trap_of_the_catalogue_is_planted_somewhere(sample):
    planted = {trap.id for each in sample for trap in each.task.key.traps}
    planted |= {each.focus for each in sample}
    assert set(scenarios().traps) - planted == set()


def test_every_archetype_and_every_family_is_met(sample):
    assert {each.task.archetype for each in sample} == set(scenarios().archetypes)
    described = {sheet.title for each in islice(sample, None) for sheet in each.task.pack}
    for family in scenarios().families.values():
        if family.data_sheet:
            assert any(title.endswith(family.description) for title in described), family.id


@pytest.mark.slow
def test_many_more_seeds_hold_the_same():
    check(SLOW, first=1_000_000)
