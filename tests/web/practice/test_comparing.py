"""A proposal beside every acceptable one: counted a second time by trying all of them."""

from __future__ import annotations

import itertools

import pytest

from trainer.domain.answers.decisions import Decision, Edit, Option
from trainer.domain.answers.factored import EVERYTHING, Branching, Parts
from trainer.domain.answers.solver import Solution
from trainer.domain.generator.request import TaskRequest
from trainer.services.answering import solution_of
from trainer.services.practice.further import question_on
from trainer.services.scenarios import make_task
from trainer.web.practice.comparing import FEW, comparison, options_met


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("level", [1, 2])
def test_the_options_that_comply_somewhere_are_those_found_by_trying_every_answer(level: int, seed: int) -> None:
    task = make_task(TaskRequest(seed=seed, level=level))
    solution = solution_of(task)
    assert solution.proposal_space <= 20_000, "too many answers to try each: take another seed"
    met: dict[str, set[int]] = {each.id: set() for each in task.decisions}
    count = 0
    for numbers in itertools.product(*(range(len(each.options)) for each in task.decisions)):
        answer = {each.id: each.options[n].id for each, n in zip(task.decisions, numbers, strict=True)}
        if solution.accepts(answer):
            count += 1
            for each, number in zip(task.decisions, numbers, strict=True):
                met[each.id].add(number)
    assert options_met(solution) == met
    chosen = {each.id: each.options[0].id for each in task.decisions}
    compared = comparison(solution, chosen)
    assert compared.acceptable_count == count
    assert len(compared.listed) == (count if count <= FEW else 0)
    assert len({tuple(answer.items()) for answer in compared.listed}) == len(compared.listed)
    for each in task.decisions:
        for number, standing in enumerate(compared.options[each.id]):
            assert (standing.standing == "never") == (number not in met[each.id])


def _decision(name: str) -> Decision:
    edit = Edit(path=f"devices.{name}.rcd_type", value=None)
    options = tuple(Option(id=each, label=each, edits=(edit,)) for each in ("first", "second"))
    return Decision(id=name, subject=f"devices.{name}", question="?", options=options)


def test_a_decision_that_a_branch_leaves_open_is_free_there() -> None:
    """By hand: with the first option of a, b must be the first; with the second, b may be either; c never matters."""
    only_first = Parts((Branching(1, (((0,), EVERYTHING),), 1),), 1)
    whole = Branching(0, (((0,), only_first), ((1,), EVERYTHING)), 2)
    solution = Solution(
        decisions=(_decision("a"), _decision("b"), _decision("c")), acceptable=Parts((whole,), 2), weights=(1, 1, 1)
    )
    assert options_met(solution) == {"a": {0, 1}, "b": {0, 1}, "c": {0, 1}}
    bound = Branching(0, (((0,), only_first),), 1)
    narrow = Solution(decisions=solution.decisions, acceptable=Parts((bound,), 1), weights=(1, 1, 1))
    assert options_met(narrow) == {"a": {0}, "b": {0}, "c": {0, 1}}


def test_a_missed_point_leads_to_a_question_that_answers_its_misconception_or_rests_on_its_rule() -> None:
    by_belief = question_on("M01", ("RCD-07",), ())
    assert by_belief is not None
    assert "M01" in by_belief.misconceptions
    by_rule = question_on(None, ("RCD-07",), ())
    assert by_rule is not None
    assert "RCD-07" in by_rule.rules
    assert question_on(None, (), ()) is None
