"""Questions for tests: made once, and what can be read in them."""

from __future__ import annotations

import re
from functools import cache

from trainer.domain.asks.forms import Ask, AskKey
from trainer.domain.questions.making import ASK, MadeQuestion, made_question
from trainer.domain.questions.naming import with_names
from trainer.domain.tasks import Task
from trainer.services.scenarios import scenarios

_AMOUNT = re.compile(r"([−-]?\d+(?:\.\d+)?)\u00a0([^\s,.;:?)\"]+)")


@cache
def made(family: str, seed: int) -> MadeQuestion:
    """The question of a family and seed in the default edition, as it was made."""
    return made_question(seed, scenarios(), family=family)


def question(family: str, seed: int) -> Task:
    """The question of a family and seed in the default edition."""
    return made(family, seed).task


def ask_and_key(task: Task) -> tuple[Ask, AskKey]:
    """The one thing that a question asks, and its key."""
    return task.asks[0], task.key.asks[ASK]


def drafted(task: Task) -> tuple[Ask, AskKey]:
    """The same with the ids that its family gave to choices and partners."""
    own = made(task.archetype, task.seed).drafted
    shown, key = ask_and_key(task)
    choices = {new.id: old.id for new, old in zip(shown.choices, own.choices, strict=True)}
    partners = {new.id: old.id for new, old in zip(shown.partners, own.partners, strict=True)}
    return own, key if not choices else with_names(key, own.form, choices, partners)


def amounts(text: str, unit: str) -> list[float]:
    """The numbers with a unit that stand in a text, in their order."""
    found = _AMOUNT.findall(text)
    return [float(number.replace("−", "-")) for number, of in found if of.rstrip(".") == unit]


def words(task: Task) -> int:
    """How many words there are to read before an answer can be given."""
    ask, _ = ask_and_key(task)
    parts = [ask.question, *(each.label for each in (*ask.choices, *ask.partners))]
    for sheet in task.pack:
        parts += [sheet.title, *(f"{row.label} {row.value} {row.unit}" for row in sheet.rows), *sheet.notes]
    return len(" ".join(parts).replace("\u00a0", " ").split())
