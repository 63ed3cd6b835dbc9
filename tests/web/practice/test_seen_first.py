"""A page seen first: what is in hand when a task was just made is what would be read back."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest

from tests.web.conftest import NOON
from tests.web.practice.conftest import hand_made_task
from trainer.domain.answers.solver import Solution
from trainer.domain.rules.version import rule_set_version
from trainer.domain.tasks import Task, TaskKind
from trainer.persistence.repositories import SqlStorage
from trainer.services.answering import Solutions, solution_of, weights_of
from trainer.services.practice.tasks import OpenTask, Practice, WeightedTask
from trainer.services.proving.seeds import request_of
from trainer.services.regrading.sameness import same
from trainer.services.scenarios import make_judged
from trainer.web.practice.writing import StoredForm

SEEDS = range(120)
"""Each kind at each level six times."""


class Unasked(Solutions):
    """Solves nothing."""

    def of(self, *_: object) -> Solution:
        raise AssertionError("solved again")


def worker(storage: SqlStorage, task: Task | None = None, solutions: Solutions | None = None) -> Practice:
    """Practice in a process of its own, which knows nothing of the others."""
    numbers = itertools.count(1)
    return Practice(
        storage=storage, make=make_judged if task is None else lambda _: (task, None), form=StoredForm(),
        catalogue=(), now=lambda: NOON, new_id=lambda: f"page-{next(numbers)}", new_seed=lambda: 7671,
        solutions=solutions or Solutions(),
    )  # fmt: skip


def opened(practice: Practice, page_id: str) -> OpenTask:
    found = practice.open(page_id)
    assert found is not None
    return found


@pytest.mark.parametrize("seed", SEEDS)
def test_a_task_that_was_made_is_down_to_its_types_what_is_read_of_it(seed: int) -> None:
    made, _ = make_judged(request_of(seed))
    _, content = StoredForm().write_task(made, [1] * len(made.decisions))
    assert same(StoredForm().read_task(content), made)


@pytest.mark.parametrize("level", [1, 2, 3, 4, 5])
def test_what_the_generator_noted_spares_the_solver_work_and_changes_nothing(level: int) -> None:
    for seed in range(4):
        task, trial = make_judged(replace(request_of(0), seed=seed, level=level))
        assert trial is not None
        short, whole = Solutions().of(task, "", trial), solution_of(task)
        assert (short.weights, short.acceptable_count) == (whole.weights, whole.acceptable_count)
        for each in task.decisions:
            for option in each.options:
                proposal = {**task.key.intended, each.id: option.id}
                assert short.accepts(proposal) == whole.accepts(proposal)


@pytest.mark.parametrize("seed", range(0, 20, 4))
def test_what_the_rules_said_while_a_task_was_made_writes_the_same_bytes(seed: int) -> None:
    task, trial = make_judged(request_of(seed))
    assert trial is not None
    weights = weights_of(task)
    assert StoredForm().write_task(task, weights, trial.said()) == StoredForm().write_task(task, weights)


@pytest.mark.parametrize("kind", [TaskKind.CHOOSE, TaskKind.QUESTION])
def test_another_worker_reads_the_marks_and_does_not_work_them_out(storage: SqlStorage, kind: TaskKind) -> None:
    first = worker(storage)
    page_id = first.begin(2, None, kind=kind)
    elsewhere = opened(worker(storage, solutions=Unasked()), page_id)
    assert elsewhere.weights == opened(first, page_id).weights == weights_of(elsewhere.task)
    assert same(elsewhere.task, opened(first, page_id).task)


@pytest.mark.parametrize("of_today", [True, False])
def test_marks_of_a_task_of_other_rules_are_worked_out_by_those_that_will_mark_it(
    storage: SqlStorage, *, of_today: bool
) -> None:
    """Nine marks each, which no rule of today gives, stand for those that other rules gave."""
    task = replace(hand_made_task(), rule_set_version=rule_set_version() if of_today else "of another year")
    practice = worker(storage, task)
    page_id = practice.show(task, None)
    name = opened(practice, page_id).task_id
    practice.tasks.keep(name, WeightedTask(task=task, weights=(9, 9)))
    assert opened(practice, page_id).weights == ((9, 9) if of_today else weights_of(task))
