"""Tasks with asks, for tests."""

from __future__ import annotations

from collections.abc import Mapping

from tests.domain.houses import circuit, house, rcbo
from trainer.domain.asks.forms import Ask, AskKey
from trainer.domain.tasks import Key, Task, TaskKind
from trainer.domain.vocabulary import DEFAULT_EDITION


def task_of(asked: Mapping[Ask, AskKey]) -> Task:
    """A task of kind question that asks the given things of a small house."""
    return Task(
        seed=1,
        generator_version="1",
        rule_set_version="1",
        edition=DEFAULT_EDITION,
        kind=TaskKind.QUESTION,
        level=1,
        archetype="none",
        title="Invented",
        story="",
        house=house(rcbo("way1"), circuit("sockets", "way1")),
        pack=(),
        decisions=(),
        key=Key(intended={}, asks={each.id: key for each, key in asked.items()}),
        asks=tuple(asked),
    )
