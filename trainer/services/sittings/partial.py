"""Marking where something may be left open: an unanswered decision loses its marks, and only its own.

The answered decisions are compared with the acceptable proposal that is nearest to them, whatever
it says about the open ones; the open ones are then taken as that proposal has them. So nobody
loses marks twice for one gap. See docs/decisions/018-sittings.md.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from trainer.domain.answers.factored import best
from trainer.domain.answers.marking import Grade
from trainer.domain.answers.misconceptions import Misconception
from trainer.domain.answers.solver import Solution
from trainer.domain.tasks import Task
from trainer.services.answering import grade_answer, solution_of


@dataclass(frozen=True, slots=True, kw_only=True)
class PartGrade:
    """A grade in which open decisions have no marks; their ``chosen`` is what the nearest answer has there."""

    grade: Grade
    unanswered: frozenset[str]


def grade_partly(
    task: Task,
    answers: Mapping[str, str],
    *,
    certainty: Mapping[str, object] | None = None,
    catalogue: Sequence[Misconception] = (),
    solution: Solution | None = None,
) -> PartGrade:
    """Mark answers of which any may be missing. *Raises* TrainerError for answers that cannot be read."""
    solved = None if task.asks else solution or solution_of(task)
    filler = _keys(task) if solved is None else nearest_to(solved, answers)
    sure = {name: value for name, value in (certainty or {}).items() if name in answers}
    full = {**filler, **answers}
    graded = grade_answer(task, full, certainty=sure, catalogue=catalogue, solution=solved)
    unanswered = frozenset(name for name in filler if name not in answers)
    return PartGrade(grade=_without_marks(graded, unanswered), unanswered=unanswered)


def nearest_to(solution: Solution, answers: Mapping[str, str]) -> dict[str, str]:
    """The acceptable proposal with fewest changes to what was answered, then fewest marks lost, then least cost."""

    def cost(number: int, option: int) -> tuple[int, int, int]:
        decision = solution.decisions[number]
        taken = decision.options[option]
        if answers.get(decision.id, taken.id) == taken.id:
            return (0, 0, taken.cost)
        return (1, solution.weights[number], taken.cost)

    chosen = best(solution.acceptable, cost, 3)[1]
    return {each.id: each.options[chosen[number]].id for number, each in enumerate(solution.decisions)}


def told_open(grade_json: bytes, unanswered: frozenset[str]) -> bytes:
    """The written grade, saying of open decisions that nothing was chosen."""
    if not unanswered:
        return grade_json
    document = json.loads(grade_json)
    for each in document["decisions"]:
        if each["id"] in unanswered:
            each["chosen"], each["unanswered"] = "", True
    return json.dumps(document, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()


def _keys(task: Task) -> dict[str, str]:
    return {each.id: task.key.asks[each.id].model for each in task.asks}


def _without_marks(graded: Grade, unanswered: frozenset[str]) -> Grade:
    decisions = tuple(
        replace(each, marks=0, misconception=None, certainty=None) if each.id in unanswered else each
        for each in graded.decisions
    )
    return replace(
        graded,
        decisions=decisions,
        marks=sum(each.marks for each in decisions),
        dearer_by=None if unanswered else graded.dearer_by,
    )
