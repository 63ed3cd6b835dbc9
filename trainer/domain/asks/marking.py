"""Marking what was asked: whole or nothing, the same shape of grade as for protection that was chosen."""

from __future__ import annotations

from collections.abc import Mapping

from trainer.domain.answers.conditions import WEIGHT
from trainer.domain.answers.marking import Change, DecisionGrade, Grade, checked_certainty
from trainer.domain.asks.answers import AnswerError, canonical, is_near, is_right
from trainer.domain.asks.forms import Ask, AskKey, Wrong
from trainer.domain.errors import Problem, unknown
from trainer.domain.tasks import Task


def checked_answers(asks: tuple[Ask, ...], answers: Mapping[str, str]) -> dict[str, str]:
    """The answers in one spelling, in the order of the asks. *Raises* AnswerError with every problem.

    Where nothing is said, the ask's usual answer counts, if it has one.
    """
    known = {each.id: each for each in asks}
    problems = [unknown(f"answers.{name}", name, known, "question") for name in answers if name not in known]
    checked: dict[str, str] = {}
    for each in asks:
        given = answers.get(each.id) or each.usual
        if not given:
            problems.append(Problem(path=f"answers.{each.id}", problem="not answered"))
            continue
        try:
            checked[each.id] = canonical(each, given)
        except AnswerError as error:
            problems += error.problems
    if problems:
        raise AnswerError(*problems)
    return checked


def marks_of(key: AskKey) -> int:
    """The marks of one ask: by the worst that a wrong answer can cause."""
    return WEIGHT[key.consequence]


def grade_asks(task: Task, answers: Mapping[str, str], *, certainty: Mapping[str, object] | None = None) -> Grade:
    """Mark the answers to everything that a task asks.

    *Raises* AnswerError for answers that are missing or cannot be read, ProposalError for certainties.
    """
    checked = checked_answers(task.asks, answers)
    sure = checked_certainty([each.id for each in task.asks], certainty or {})
    grades = tuple(_graded(each, task.key.asks[each.id], checked[each.id], sure.get(each.id)) for each in task.asks)
    wrong = [each for each in grades if not each.is_right]
    return Grade(
        marks=sum(each.marks for each in grades),
        marks_available=sum(each.marks_available for each in grades),
        safe_to_energise=not any(task.key.asks[each.id].leaves_hazard for each in wrong),
        decisions=grades,
        least_change=tuple(Change(decision=each.id, chosen=each.chosen, instead=each.nearest_option) for each in wrong),
        findings=(),
        dearer_by=None if wrong else 0,
    )


def recognised_wrong(ask: Ask, key: AskKey, answer: str) -> Wrong | None:
    """The known wrong answer that a canonical answer is, numbers within the ask's tolerance."""
    return next((each for each in key.wrongs if is_near(ask, answer, each.answer, key.tolerance)), None)


def _graded(ask: Ask, key: AskKey, answer: str, certainty: int | None) -> DecisionGrade:
    right = is_right(ask, key, answer)
    known = None if right else recognised_wrong(ask, key, answer)
    available = marks_of(key)
    return DecisionGrade(
        id=ask.id,
        chosen=answer,
        acceptable=key.answers,
        marks=available if right else 0,
        marks_available=available,
        findings=(),
        nearest_option=answer if right else key.model,
        misconception=known.misconception or None if known else None,
        certainty=certainty,
    )
