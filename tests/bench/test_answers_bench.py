"""How long solving and marking take; measured on demand, never asserted.

``pytest tests/bench/test_answers_bench.py --benchmark-enable``
"""

from __future__ import annotations

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from tests.bench.boards import board, open_decisions
from trainer.domain.answers.solver import solve
from trainer.domain.generator.request import TaskRequest
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import judge
from trainer.services.answering import grade_answer, solution_of
from trainer.services.scenarios import make_task

pytestmark = pytest.mark.bench


def test_the_open_board_has_more_than_ten_to_the_twentieth_proposals(benchmark: BenchmarkFixture) -> None:
    solution = benchmark.pedantic(solve, (board(), open_decisions(), ALL_RULES), rounds=30)
    assert solution.proposal_space > 10**20


def test_judging_the_same_board_once_for_comparison(benchmark: BenchmarkFixture) -> None:
    benchmark(judge, board(), ALL_RULES)


@pytest.mark.parametrize("level", [1, 2, 3, 4])
def test_solving_a_generated_task(benchmark: BenchmarkFixture, level: int) -> None:
    task = make_task(TaskRequest(seed=7, level=level))
    assert benchmark(solution_of, task).acceptable_count > 0


@pytest.mark.parametrize("level", [1, 2, 3, 4])
def test_marking_a_generated_task_once_it_is_solved(benchmark: BenchmarkFixture, level: int) -> None:
    task = make_task(TaskRequest(seed=7, level=level))
    solution = solution_of(task)
    first = {decision.id: decision.options[0].id for decision in task.decisions}
    benchmark(grade_answer, task, first, solution=solution)
