"""Answers in words that mean the same in every variant, for the table of what was answered."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from trainer.domain.asks.answers import AnswerError, told
from trainer.domain.asks.forms import Ask, AskForm
from trainer.domain.tasks import Task
from trainer.services.papers.basis import Basis
from trainer.services.papers.records import Outcome

RIGHT, OTHER = "right", "other"
_ARRANGED = frozenset({AskForm.ORDER, AskForm.MATCH})


def in_words(basis: Basis, tasks: Mapping[str, Task]) -> tuple[Outcome, ...]:
    """The outcomes with the words of what was chosen where a task asked; options of decisions are alike already."""
    hashes = {
        (sitting, item.graded.position): item.graded.content_hash
        for sitting, items in basis.items.items()
        for item in items
    }
    asks = {name: {each.id: each for each in task.asks} for name, task in tasks.items()}
    return tuple(
        _worded(each, asks.get(hashes.get((each.sitting_id, each.position), ""), {}).get(each.decision_id))
        for each in basis.outcomes
    )


def _worded(outcome: Outcome, ask: Ask | None) -> Outcome:
    if ask is None or outcome.chosen is None or ask.form is AskForm.NUMBER:
        return outcome
    if ask.form in _ARRANGED:
        # What is to be arranged differs from variant to variant: only whether it was right, or why not, is alike.
        is_right = outcome.marks == outcome.marks_available
        return replace(outcome, chosen=RIGHT if is_right else outcome.misconception_id or OTHER)
    try:
        return replace(outcome, chosen=told(ask, outcome.chosen))
    except AnswerError:
        return outcome
