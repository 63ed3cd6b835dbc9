"""Hashes of tasks of every kind and of every family: ``python -m tests.services.same_bytes`` prints them as JSON."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from typing import Final

from trainer.domain.generator.request import TaskRequest
from trainer.domain.questions.families import ALL_FAMILIES
from trainer.domain.questions.making import make_question
from trainer.domain.tasks import Task, TaskKind
from trainer.interop.canonical import content_hash
from trainer.interop.task_json import task_json
from trainer.services.scenarios import make_task, scenarios

SEEDS: Final = range(4)


def tasks() -> Iterator[tuple[str, Task]]:
    """Each family with a few seeds, and each other kind at each of its levels."""
    for family in ALL_FAMILIES:
        for seed in SEEDS:
            yield f"{family.id} {seed}", make_question(seed, scenarios(), family=family.id)
    for kind in TaskKind:
        for seed in range(12):
            level = 3 + seed % 3 if kind is TaskKind.INSPECT else 1 + seed % 5
            if kind is not TaskKind.QUESTION:
                yield f"{kind} {seed}", make_task(TaskRequest(seed=seed, level=level, kind=kind))


if __name__ == "__main__":
    hashes = {
        name: content_hash(task_json(task, [0] * len(task.decisions), "", with_key=True)) for name, task in tasks()
    }
    json.dump(hashes, sys.stdout)
