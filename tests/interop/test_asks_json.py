"""Tasks with asks go to JSON and back unchanged, and the answers only with the key."""

from __future__ import annotations

import json

import pytest

from tests.domain.asks.tasks import task_of
from tests.domain.asks.test_marking import NUMBER, NUMBER_KEY, TYPE, TYPE_KEY
from trainer.interop.task_json import task_json
from trainer.interop.task_reading import TaskError, task_from_json

TASK = task_of({TYPE: TYPE_KEY, NUMBER: NUMBER_KEY})


def test_a_task_with_asks_is_read_as_it_was_written() -> None:
    document = json.loads(json.dumps(task_json(TASK, (), "", with_key=True)))
    read = task_from_json(document).task
    assert read.asks == TASK.asks
    assert read.key == TASK.key


def test_without_key_nothing_of_the_answers_is_written() -> None:
    text = json.dumps(task_json(TASK, (), ""))
    assert "1.37" not in text
    assert "detects smooth" not in text
    assert task_from_json(json.loads(text)).task.key.asks == {}


def test_every_problem_of_an_ask_is_said() -> None:
    document = json.loads(json.dumps(task_json(TASK, (), "", with_key=True)))
    document["asks"][0]["form"] = "guess"
    document["asks"][1].pop("question")
    document["key"]["asks"]["zs"]["answers"] = []
    document.pop("id")
    with pytest.raises(TaskError) as caught:
        task_from_json(document)
    assert {each.path for each in caught.value.problems} == {"asks[0].form", "asks[1].question", "key.asks.zs.answers"}
