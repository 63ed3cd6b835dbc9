"""What is said of an answer to an ask: what is wrong with it where that is known, and why the right one is right."""

from __future__ import annotations

from trainer.domain.answers.marking import DecisionGrade
from trainer.domain.asks.marking import recognised_wrong
from trainer.domain.tasks import Task


def ask_words(task: Task, each: DecisionGrade) -> tuple[str, str]:
    """What the given answer would do, empty where it is right or not known, and the whole explanation."""
    ask = next(ask for ask in task.asks if ask.id == each.id)
    key = task.key.asks[each.id]
    known = None if each.is_right else recognised_wrong(ask, key, each.chosen)
    wrong = known.why if known else ""
    return wrong, f"{wrong} {key.why}".strip()
