"""Tasks and grades as they are stored: canonical JSON, the grade with its explanations."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from functools import lru_cache
from typing import Any

from trainer.domain.answers.marking import Grade
from trainer.domain.findings import Verdict
from trainer.domain.installation import Installation
from trainer.domain.rules.registry import Rule
from trainer.domain.tasks import Task
from trainer.explain.asks import ask_explanations, ask_words, findings_as_found
from trainer.explain.caution import CAUTION
from trainer.explain.evidence import Papers
from trainer.explain.explanation import Explanation, as_text
from trainer.explain.grades import bearing, chosen_house, decision_explanations
from trainer.explain.walks import told_walks
from trainer.interop.answers_json import Words, grade_json
from trainer.interop.canonical import canonical_bytes
from trainer.interop.grade_reading import said_grade
from trainer.interop.task_json import task_bytes
from trainer.interop.task_reading import task_from_json
from trainer.services.answering import weights_of
from trainer.services.practice.tasks import WeightedTask
from trainer.services.regrading.differences import SaidGrade

# Some hundred kB each as objects.
_TASKS_KEPT = 64
_PARTS = ("headline", "happens", "number", "working", "regulation", "remedy")


@lru_cache(maxsize=_TASKS_KEPT)
def _weighted(content: bytes) -> WeightedTask:
    document = json.loads(content)
    task = task_from_json(document, kept=True).task
    marks = tuple(each["marks"] for each in document["decisions"])
    return WeightedTask(task=task, weights=weights_of(task) if task.asks else marks)


@dataclass(frozen=True, slots=True)
class StoredForm:
    """The form in which practice keeps what it delivered and what it said."""

    def write_task(
        self, task: Task, weights: Sequence[int], said: Iterable[tuple[Rule, Verdict]] | None = None
    ) -> tuple[str, bytes]:
        """The content id and the bytes of a task with its key; ``said`` of its intended proposal, where known."""
        return task_bytes(task, weights, CAUTION, said)

    def read_task(self, content: bytes) -> Task:
        """The task that was written; a page asks for it several times, and whoever looks again does so soon."""
        return _weighted(content).task

    def read_weighted(self, content: bytes) -> WeightedTask:
        """The same with its marks."""
        return _weighted(content)

    def read_grade(self, content: bytes) -> SaidGrade:
        """The grade that was written, as far as it can be compared."""
        return said_grade(content)

    def said(self, task: Task, task_id: str, grade: Grade) -> SaidGrade:
        """A grade as it would be read after it was written, without the explanations, which cost most."""
        silent = [Words("", "")] * len(grade.decisions)
        return said_grade(canonical_bytes(grade_json(task, task_id, grade, silent, CAUTION)))

    def write_grade(self, task: Task, task_id: str, grade: Grade) -> bytes:
        """A grade with the explanations of each decision, so that what was said stays as it was said."""
        if task.asks:
            return canonical_bytes(_asked_grade(task, task_id, grade))
        house = chosen_house(task, grade)
        told = [decision_explanations(task, grade, each, house) for each in grade.decisions]
        words = [_words(explanations) for explanations in told]
        document = grade_json(task, task_id, grade, words, CAUTION)
        for decision, explanations in zip(document["decisions"], told, strict=True):
            decision["explanations"] = [_explanation(each) for each in explanations]
        _add_papers(document["decisions"], task, grade, house)
        walks, in_all = told_walks(house, task.edition)
        document["unanswered_faults"] = {"in_all": in_all, "told": [asdict(each) for each in walks]}
        return canonical_bytes(document)


def _add_papers(decisions: Sequence[dict[str, Any]], task: Task, grade: Grade, house: Installation) -> None:
    """Beside each explanation where in the papers its facts stand."""
    papers = Papers(task, house)
    for decision, each in zip(decisions, grade.decisions, strict=True):
        for said, finding in zip(decision["explanations"], bearing(grade, each), strict=True):
            said["subject"] = finding.subject
            said["rests_on"] = [asdict(told) for told in papers.told(finding)]


def _asked_grade(task: Task, task_id: str, grade: Grade) -> dict[str, Any]:
    """The grade of a task that asks, with what the rules say of the house as it was found."""
    words = [Words(*ask_words(task, each)) for each in grade.decisions]
    document = grade_json(task, task_id, grade, words, CAUTION)
    findings = findings_as_found(task)
    for decision, each in zip(document["decisions"], grade.decisions, strict=True):
        decision["explanations"] = [_explanation(said) for said in ask_explanations(task, each, findings)]
    return document


def _words(explanations: Sequence[Explanation]) -> Words:
    return Words(" ".join(as_text(each.happens) for each in explanations), " ".join(each.text for each in explanations))


def _explanation(each: Explanation) -> dict[str, Any]:
    scale = each.scale
    return {
        "rule": each.rule_id,
        "outcome": each.outcome.value,
        "at_stake": each.consequence.value,
        **{part: as_text(getattr(each, part)) for part in _PARTS},
        "scale": None
        if scale is None
        else {
            "value": scale.value,
            "limit": scale.limit,
            "unit": scale.unit,
            "value_text": scale.value_text,
            "limit_text": scale.limit_text,
        },
    }
