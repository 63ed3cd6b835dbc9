"""Over generated tasks: the drawing gives no answer away, nothing overlaps, and every finding has words."""

from __future__ import annotations

from itertools import combinations
from random import Random

import pytest

from trainer.domain.answers.decisions import apply
from trainer.domain.generator.request import TaskRequest
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import judge
from trainer.domain.tasks import Task
from trainer.explain.diagram.layout import drawing_of
from trainer.explain.diagram.outline import Request, outline
from trainer.explain.diagram.render import single_line
from trainer.explain.explanation import explain
from trainer.services.scenarios import make_task

FEW, MANY = range(16), range(16, 240)


def _check(task: Task, draw: Random) -> None:
    request = Request(undecided=task.undecided_paths)
    chosen = {each.id: draw.choice(each.options).id for each in task.decisions}
    house = apply(task.house, task.decisions, chosen)
    assert single_line(house, request) == single_line(task.house, request), f"seed {task.seed}: a choice shows"
    drawing = drawing_of(outline(house, request))
    boxes = [(text.words, text.box) for item in drawing.items for text in item.texts]
    boxes += [(sign.name, sign.box) for item in drawing.items for sign in item.signs]
    for (first, a), (second, b) in combinations(boxes, 2):
        assert not a.meets(b), f"seed {task.seed}: {first!r} lies upon {second!r}"
    for finding in judge(house, ALL_RULES, task.edition):
        assert explain(finding, house, edition=task.edition).text


@pytest.mark.parametrize("seed", FEW)
def test_a_generated_task_is_drawn_and_explained(seed: int) -> None:
    _check(make_task(TaskRequest(seed=seed, level=1 + seed % 4)), Random(seed))


@pytest.mark.slow
def test_many_generated_tasks_are_drawn_and_explained() -> None:
    for seed in MANY:
        _check(make_task(TaskRequest(seed=seed, level=1 + seed % 4)), Random(seed))
