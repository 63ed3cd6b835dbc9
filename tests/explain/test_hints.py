"""A hint on a decision names no option: rules by id and clause, papers by their titles, a first step of thinking."""

from __future__ import annotations

import re

import pytest

from trainer.domain.generator.request import TaskRequest
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.tasks import Task, TaskKind
from trainer.resources import folder
from trainer.services.notes.reading import notes
from trainer.services.scenarios import make_task

SEEDS = range(8_000, 8_300)
CITED = {rule.id: f"{rule.id} {rule.citation.publication}, {rule.citation.clause}" for rule in ALL_RULES}


def steps_of(objectives: tuple[str, ...]) -> list[str]:
    return [notes()[each].steps[0] for each in objectives if each in notes()]


def names(option: str, texts: list[str]) -> list[str]:
    """The texts in which an option stands as words of its own."""
    word = re.compile(rf"(?<!\w){re.escape(option)}(?!\w)", re.IGNORECASE)
    return [text for text in texts if word.search(text)]


@pytest.fixture(scope="module")
def tasks() -> list[Task]:
    return [make_task(TaskRequest(seed=seed, level=1 + seed % 5)) for seed in SEEDS]


def test_no_hint_on_a_decision_names_what_is_right(tasks: list[Task]) -> None:
    # Every rule of the book and every paper of the task: more than any one hint tells.
    for task in tasks:
        papers = [sheet.title for sheet in task.pack]
        for decision in task.decisions:
            label = decision.option(task.key.intended[decision.id]).label
            told = [*CITED.values(), *papers, *steps_of(decision.objectives)]
            assert names(label, told) == [], (task.seed, decision.id)


def test_no_hint_on_a_short_question_names_the_answer() -> None:
    for seed in SEEDS:
        task = make_task(TaskRequest(seed=seed, level=2, kind=TaskKind.QUESTION))
        (ask,) = task.asks
        key = task.key.asks[ask.id]
        labels = {choice.id: choice.label for choice in ask.choices}
        told = [*(CITED[rule] for rule in key.rules[:1]), *steps_of(ask.objectives)]
        for answer in key.answers:
            assert names(labels.get(answer, answer), told) == [], (seed, ask.question)


def test_neither_statement_nor_name_of_a_rule_is_told_for_it_may_be_the_answer() -> None:
    # "type B, or type A or F together with 6 mA d.c. detection" says all that there is to choose of a charger's device,
    # "device opens all live conductors" how many poles it has.
    page = (folder("templates") / "plan" / "hints.html").read_text("utf-8")
    assert "rule.citation.clause" in page
    assert "statement" not in page
    assert "rule.name" not in page
