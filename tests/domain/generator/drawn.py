"""Tasks that the tests of the generator share, and houses with choices put in."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from trainer.domain.answers.decisions import apply
from trainer.domain.findings import Finding
from trainer.domain.generator.generate import Made, make
from trainer.domain.generator.request import TaskRequest
from trainer.domain.installation import Installation
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import judge
from trainer.domain.tasks import Task
from trainer.services.scenarios import scenarios

LEVELS = (1, 2, 3, 4, 5)


@cache
def made(seed: int, level: int, archetype: str | None = None) -> Made:
    """The task of a seed, drawn once for all tests."""
    return make(TaskRequest(seed=seed, level=level, archetype=archetype), scenarios())


def task(seed: int, level: int, archetype: str | None = None) -> Task:
    """The task of a seed."""
    return made(seed, level, archetype).task


def with_choices(one: Task, other: Mapping[str, str]) -> Installation:
    """The house with the intended proposal in it, some decisions taken otherwise."""
    return apply(one.house, one.decisions, {**one.key.intended, **other})


def findings(house: Installation) -> list[Finding]:
    """All findings of the whole book."""
    return judge(house, ALL_RULES)
