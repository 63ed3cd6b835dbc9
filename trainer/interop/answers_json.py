"""Answers, solutions and grades as the objects that commands read and print."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, NamedTuple

from trainer.domain.answers.decisions import ProposalError
from trainer.domain.answers.factored import Branching, Parts
from trainer.domain.answers.marking import DecisionGrade, Grade
from trainer.domain.answers.solver import Solution
from trainer.domain.asks.forms import AskForm
from trainer.domain.errors import Problem
from trainer.domain.rules.version import rule_set_version
from trainer.domain.tasks import Task, TaskKind
from trainer.interop.documents import parsed
from trainer.interop.findings_json import finding_json
from trainer.interop.problems import shown

ANSWER_FORMAT: Final = "protection-trainer/answer"
SOLUTION_FORMAT: Final = "protection-trainer/solution"
GRADE_FORMAT: Final = "protection-trainer/grade"
FORMAT_VERSION: Final = 1
_EXACT: Final = 2**53


class Words(NamedTuple):
    """What a decision's choice does, and the whole explanation, as plain text."""

    consequence: str
    explanation: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One answer as handed in: for which task, what was chosen, how sure."""

    scenario: str
    answers: Mapping[str, str]
    certainty: Mapping[str, object]


def answer_from_bytes(data: bytes, task_id: str, kind: TaskKind = TaskKind.CHOOSE) -> Answer:
    """Read an answer to the given task. *Raises* TrainerError with every problem."""
    return answer_from_json(parsed(data), task_id, kind)


def answer_from_json(data: Mapping[str, Any], task_id: str, kind: TaskKind = TaskKind.CHOOSE) -> Answer:
    """Check an answer's shape and that it belongs to the task. *Raises* ProposalError."""
    problems: list[Problem] = []
    expected = {"format": ANSWER_FORMAT, "format_version": FORMAT_VERSION, "kind": kind.value, "scenario": task_id}
    for key, value in expected.items():
        given = data.get(key, value if key in ("format_version", "kind") else None)
        if given != value:
            problems.append(_differs(key, given, str(value)))
    answers = _texts(data, problems)
    certainty = data.get("certainty", {})
    if not isinstance(certainty, Mapping):
        problems.append(Problem(path="certainty", problem="must be a table of decisions", value=shown(certainty)))
    known = {*expected, "answers", "certainty", "rule_set_version", "generator_version", "edition"}
    problems += [
        Problem(path=str(key), problem="not a part of an answer", possible=tuple(sorted(known)))
        for key in data
        if key not in known
    ]
    if problems:
        raise ProposalError(*problems)
    return Answer(scenario=task_id, answers=answers, certainty=certainty)


def _differs(key: str, given: object, expected: str) -> Problem:
    said = "missing" if given is None else "differs"
    what = {
        "scenario": f"{said}: the answer must name the task that it answers; hand it in with that task",
        "kind": "differs from the kind of the task",
    }.get(key, f"{said}: this program reads {expected}")
    return Problem(path=key, problem=what, value=None if given is None else shown(given), possible=(expected,))


def _texts(data: Mapping[str, Any], problems: list[Problem]) -> dict[str, str]:
    answers = data.get("answers")
    if not isinstance(answers, Mapping):
        what = "missing: a table of decision and chosen option" if answers is None else "must be a table"
        problems.append(Problem(path="answers", problem=what))
        return {}
    for key, value in answers.items():
        if not isinstance(value, str):
            problems.append(Problem(path=f"answers.{key}", problem="must be the id of an option", value=shown(value)))
    return {str(key): str(value) for key, value in answers.items()}


def solution_json(task: Task, task_id: str, solution: Solution) -> dict[str, Any]:
    """The acceptable proposals, factored; counts beyond 2^53 as text, since JSON readers lose digits."""
    solved = solution.acceptable_count > 0
    return {
        "format": SOLUTION_FORMAT,
        "format_version": FORMAT_VERSION,
        "scenario": task_id,
        "edition": task.edition.value,
        "rule_set_version": _judged_by(task),
        "acceptable_count": _count(solution.acceptable_count),
        "proposal_space": _count(solution.proposal_space),
        "acceptable": _factored(solution.acceptable, solution),
        "model_answer": dict(task.key.intended),
        "cheapest": solution.cheapest() if solved else {},
    }


def asks_solution_json(task: Task, task_id: str) -> dict[str, Any]:
    """The right answers to everything that a task asks, in the shape of a solution."""
    keys = task.key.asks
    return {
        "format": SOLUTION_FORMAT,
        "format_version": FORMAT_VERSION,
        "scenario": task_id,
        "edition": task.edition.value,
        "rule_set_version": task.rule_set_version,
        "acceptable_count": _count(math.prod(len(keys[each.id].answers) for each in task.asks)),
        "acceptable": {
            "all": [{"decision": each.id, "any": [{"options": list(keys[each.id].answers)}]} for each in task.asks]
        },
        "model_answer": {each.id: keys[each.id].model for each in task.asks},
        "tolerance": {each.id: keys[each.id].tolerance for each in task.asks if each.form is AskForm.NUMBER},
    }


def _judged_by(task: Task) -> str:
    """The rule set behind a result: this program's for choices, the task's own where its key decides."""
    return rule_set_version() if task.kind is TaskKind.CHOOSE else task.rule_set_version


def _count(number: int) -> int | str:
    return number if number <= _EXACT else str(number)


def _factored(node: Parts, solution: Solution) -> dict[str, Any]:
    """``{"all": [...]}`` of ``{"decision", "any": [{"options", "then"}]}``; an empty ``all`` holds for anything."""
    return {"all": [_branching(part, solution) for part in node.parts]}


def _branching(part: Branching, solution: Solution) -> dict[str, Any]:
    decision = solution.decisions[part.decision]
    branches = []
    for numbers, rest in part.branches:
        branch: dict[str, Any] = {"options": [decision.options[number].id for number in numbers]}
        if rest.parts:
            branch["then"] = _factored(rest, solution)
        branches.append(branch)
    return {"decision": decision.id, "any": branches}


def grade_json(task: Task, task_id: str, grade: Grade, words: Sequence[Words], caution: str) -> dict[str, Any]:
    """A grade with its findings; ``words`` holds the texts of each decision in order."""
    return {
        "format": GRADE_FORMAT,
        "format_version": FORMAT_VERSION,
        "scenario": task_id,
        "edition": task.edition.value,
        "generator_version": task.generator_version,
        "rule_set_version": _judged_by(task),
        "marks": grade.marks,
        "marks_available": grade.marks_available,
        "safe_to_energise": grade.safe_to_energise,
        "decisions": [_decision(each, text) for each, text in zip(grade.decisions, words, strict=True)],
        "least_change": [
            {"decision": each.decision, "from": each.chosen, "to": each.instead} for each in grade.least_change
        ],
        "findings": [finding_json(finding) for finding in grade.findings],
        "dearer_by": grade.dearer_by,
        "caution": caution,
    }


def _decision(each: DecisionGrade, words: Words) -> dict[str, Any]:
    return {
        "id": each.id,
        "chosen": each.chosen,
        "acceptable": list(each.acceptable),
        "marks": each.marks,
        "marks_available": each.marks_available,
        "findings": list(each.findings),
        "consequence_text": words.consequence,
        "explanation_text": words.explanation,
        "misconception": each.misconception,
        "nearest_option": each.nearest_option,
        "certainty": each.certainty,
    }
