"""Tasks of every kind that asks survive being stored: written, read, and asked the same."""

from __future__ import annotations

import json

import pytest

from trainer.domain.generator.request import TaskRequest
from trainer.domain.questions.families import ALL_FAMILIES
from trainer.domain.tasks import Task, TaskKind
from trainer.interop.task_json import task_json
from trainer.interop.task_reading import task_from_json
from trainer.services.answering import weights_of
from trainer.services.scenarios import make_task


def stored(task: Task) -> Task:
    document = task_json(task, weights_of(task), "", with_key=True)
    return task_from_json(json.loads(json.dumps(document))).task


@pytest.mark.parametrize("family", [each.id for each in ALL_FAMILIES])
def test_a_question_is_read_as_it_was_written(family: str) -> None:
    task = make_task(TaskRequest(seed=4, kind=TaskKind.QUESTION, family=family))
    assert stored(task).asks == task.asks
    assert stored(task).key == task.key
    assert stored(task).house == task.house


@pytest.mark.parametrize("kind", [TaskKind.INSPECT, TaskKind.MEASURE])
@pytest.mark.parametrize("level", [1, 2, 3, 4, 5])
def test_a_board_to_inspect_or_measure_is_read_as_it_was_written(kind: TaskKind, level: int) -> None:
    task = make_task(TaskRequest(seed=9, level=level, kind=kind))
    assert stored(task) == task
