"""Solving and marking of generated tasks against judging whole houses one by one."""

from __future__ import annotations

import random
from itertools import product

import pytest

from trainer.domain.answers.conditions import Bench
from trainer.domain.answers.decisions import Decision, apply
from trainer.domain.answers.solver import solve
from trainer.domain.generator.request import TaskRequest
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import judge
from trainer.domain.tasks import Task
from trainer.services.scenarios import make_task

CASES = [(level, seed) for level in (1, 2, 3, 4) for seed in (3, 11, 24)]
MOST_PROPOSALS = 80


def some_of(task: Task, draw: random.Random) -> tuple[Decision, ...]:
    """A few decisions of a task, so few that all proposals can be judged; the places in the tree first."""
    chosen: list[Decision] = []
    size = 1
    for each in sorted(draw.sample(task.decisions, len(task.decisions)), key=lambda each: "place" not in each.id):
        if size * len(each.options) <= MOST_PROPOSALS:
            chosen.append(each)
            size *= len(each.options)
    return tuple(chosen)


@pytest.mark.parametrize(("level", "seed"), CASES)
def test_what_is_accepted_is_what_judging_every_proposal_accepts(level: int, seed: int) -> None:
    task = make_task(TaskRequest(seed=seed, level=level))
    decisions = some_of(task, random.Random(seed))
    house = apply(task.house, task.decisions, task.key.intended)
    solution = solve(house, decisions, ALL_RULES, task.edition)
    for choice in product(*([option.id for option in each.options] for each in decisions)):
        proposal = {each.id: option for each, option in zip(decisions, choice, strict=True)}
        findings = judge(apply(house, decisions, proposal), ALL_RULES, task.edition)
        assert solution.accepts(proposal) == (not any(finding.fails for finding in findings))


@pytest.mark.parametrize(("level", "seed"), CASES)
def test_the_findings_of_marking_are_those_of_the_house_as_chosen(level: int, seed: int) -> None:
    task = make_task(TaskRequest(seed=seed, level=level))
    draw = random.Random(seed)
    numbers = [draw.randrange(len(each.options)) for each in task.decisions]
    proposal = {each.id: each.options[number].id for each, number in zip(task.decisions, numbers, strict=True)}
    marked = [finding for finding, _ in Bench(task.house, task.decisions, ALL_RULES, task.edition).judged(numbers)]
    judged = judge(apply(task.house, task.decisions, proposal), ALL_RULES, task.edition)
    assert len(marked) == len(judged)
    for one, other in zip(marked, judged, strict=True):
        assert (one.rule.id, one.subject, one.terms) == (other.rule.id, other.subject, other.terms)
        for part in ("outcome", "value", "limit", "unit", "missing", "case", "related", "consequence", "citation"):
            assert getattr(one.verdict, part) == getattr(other.verdict, part)


@pytest.mark.parametrize(("level", "seed"), CASES)
def test_a_finding_depends_on_a_decision_that_can_change_it(level: int, seed: int) -> None:
    """Changing a decision that no finding read leaves every finding as it was."""
    task = make_task(TaskRequest(seed=seed, level=level))
    bench = Bench(task.house, task.decisions, ALL_RULES, task.edition)
    numbers = [0] * len(task.decisions)
    before = bench.judged(numbers)
    for number in range(len(numbers)):
        changed = [*numbers]
        changed[number] = len(task.decisions[number].options) - 1
        after = {(finding.rule.id, finding.subject): finding.outcome for finding, _ in bench.judged(changed)}
        for finding, read in before:
            if number not in read:
                assert after[finding.rule.id, finding.subject] is finding.outcome
