"""Installations to try rules on: the worked examples, and what a seed makes, with the intended choices put in."""

from __future__ import annotations

from trainer.domain.answers.decisions import apply
from trainer.domain.generator.request import TaskRequest
from trainer.domain.installation import Installation
from trainer.domain.vocabulary import Edition
from trainer.services.scenarios import make_task


def house_of_seed(seed: int, level: int, archetype: str | None = None) -> tuple[Installation, Edition]:
    """The house of a task as its maker intended it, and its edition. *Raises* TrainerError."""
    task = make_task(TaskRequest(seed=seed, level=level, archetype=archetype))
    return apply(task.house, task.decisions, task.key.intended), task.edition
