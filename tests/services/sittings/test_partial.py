"""Marking with gaps, on a task small enough for every answer to be tried."""

from __future__ import annotations

from itertools import product

import pytest

from tests.services.sittings.world import right_answers, tasks_of
from trainer.domain.answers.decisions import ProposalError
from trainer.domain.tasks import Task
from trainer.services.answering import grade_answer, solution_of
from trainer.services.sittings.partial import grade_partly, nearest_to


@pytest.fixture
def task() -> Task:
    return tasks_of(1)[1]


def test_with_nothing_left_open_it_is_the_usual_grade(task: Task) -> None:
    given = right_answers(task)
    for answers in (given, {**given, "way4.type": "AC"}):
        part, whole = grade_partly(task, answers).grade, grade_answer(task, answers)
        assert (part.decisions, part.least_change, part.marks) == (whole.decisions, whole.least_change, whole.marks)
        assert (part.safe_to_energise, part.dearer_by) == (whole.safe_to_energise, whole.dearer_by)


def test_a_decision_left_open_loses_its_own_marks_and_no_others(task: Task) -> None:
    for name in right_answers(task):
        given = {each: option for each, option in right_answers(task).items() if each != name}
        part = grade_partly(task, given)
        marks = {each.id: (each.marks, each.marks_available) for each in part.grade.decisions}
        assert part.unanswered == {name}
        assert marks.pop(name)[0] == 0
        assert all(earned == available for earned, available in marks.values())


def test_nothing_answered_earns_nothing_and_shows_no_misconception(task: Task) -> None:
    part = grade_partly(task, {})
    assert part.grade.marks == 0
    assert part.grade.safe_to_energise
    assert not any(each.misconception for each in part.grade.decisions)


def test_the_nearest_answer_is_the_one_found_by_trying_all(task: Task) -> None:
    solution = solution_of(task)
    given = {"way4.type": "AC", **{each.id: each.options[-1].id for each in task.decisions[-2:]}}
    names = [each.id for each in task.decisions]
    proposals = (
        dict(zip(names, [option.id for option in choice], strict=True))
        for choice in product(*(each.options for each in task.decisions))
    )
    accepted = [each for each in proposals if solution.accepts(each)]
    fewest = min(sum(each[name] != value for name, value in given.items()) for each in accepted)
    nearest = nearest_to(solution, given)
    assert solution.accepts(nearest)
    assert sum(nearest[name] != value for name, value in given.items()) == fewest


def test_a_hazard_that_was_answered_stays_one_with_the_rest_left_open(task: Task) -> None:
    assert not grade_partly(task, {"way4.type": "AC"}).grade.safe_to_energise


@pytest.mark.parametrize("position", [2, 3, 4])
def test_what_is_asked_and_left_open_earns_nothing(position: int) -> None:
    task = tasks_of(1)[position]
    given = right_answers(task)
    name = next(iter(given))
    rest = {each: value for each, value in given.items() if each != name}
    part = grade_partly(task, rest)
    lost = next(each.marks_available for each in part.grade.decisions if each.id == name)
    assert part.unanswered == {name}
    assert part.grade.marks == part.grade.marks_available - lost


def test_an_answer_that_is_no_option_is_refused(task: Task) -> None:
    with pytest.raises(ProposalError):
        grade_partly(task, {"way4.type": "Z"})
