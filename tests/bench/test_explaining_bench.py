"""How long a hand-in takes once its task is solved: marking, explaining, and walking the faults.

``pytest tests/bench/test_explaining_bench.py --benchmark-enable``
"""

from __future__ import annotations

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from trainer.domain.answers.marking import Grade
from trainer.domain.answers.solver import Solution
from trainer.domain.generator.request import TaskRequest
from trainer.domain.tasks import Task
from trainer.explain.explanation import Explanation
from trainer.explain.grades import chosen_house, decision_explanations
from trainer.explain.walks import told_walks
from trainer.services.answering import grade_answer, solution_of
from trainer.services.scenarios import make_task

pytestmark = pytest.mark.bench


@pytest.fixture(params=[7, 11, 18])
def solved(request: pytest.FixtureRequest) -> tuple[Task, Solution, dict[str, str]]:
    """A whole mixed house and the first option of each decision, much of it wrong."""
    task = make_task(TaskRequest(seed=request.param, level=4))
    return task, solution_of(task), {each.id: each.options[0].id for each in task.decisions}


def told(task: Task, grade: Grade) -> list[list[Explanation]]:
    house = chosen_house(task, grade)
    return [decision_explanations(task, grade, each, house) for each in grade.decisions]


def test_marking_a_whole_house(benchmark: BenchmarkFixture, solved: tuple[Task, Solution, dict[str, str]]) -> None:
    task, solution, proposal = solved
    benchmark(grade_answer, task, proposal, solution=solution)


def test_marking_and_explaining_a_whole_house(
    benchmark: BenchmarkFixture, solved: tuple[Task, Solution, dict[str, str]]
) -> None:
    task, solution, proposal = solved
    explanations = benchmark(lambda: told(task, grade_answer(task, proposal, solution=solution)))
    assert any(explanations)


def test_walking_and_telling_the_faults_of_a_whole_house(
    benchmark: BenchmarkFixture, solved: tuple[Task, Solution, dict[str, str]]
) -> None:
    task, solution, proposal = solved
    house = chosen_house(task, grade_answer(task, proposal, solution=solution))
    benchmark(told_walks, house)
