"""Attempts judged again as objects for machines."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from trainer.domain.errors import Problem
from trainer.interop.problems import errors_json
from trainer.services.regrading.differences import DecisionChange, FindingChange, SaidDecision, SaidFinding, SaidGrade
from trainer.services.regrading.judging import NotJudged, Rejudged

REGRADING_FORMAT: Final = "protection-trainer/regrading"
REGRADING_FORMAT_VERSION: Final = 1


def rejudged_json(each: Rejudged, learner: str) -> dict[str, Any]:
    """One attempt with both results and what differs; ``learner`` is the id as it may be shown."""
    found = each.differences
    return {
        "attempt": each.attempt.id,
        "page": each.attempt.page_id,
        "number": each.attempt.number,
        "learner": learner,
        "edition": each.task.edition.value,
        "judged_before_under": each.under,
        "change": "result" if found.result else "findings" if found.findings else "none",
        "before": _grade(each.before),
        "after": _grade(each.after),
        "decisions": [_decision(change) for change in found.decisions],
        "findings": [_finding_change(change) for change in found.findings],
        "kept": each.kept is not None,
    }


def not_judged_json(each: NotJudged) -> dict[str, Any]:
    """One attempt that could not be judged again, with the problems."""
    return {
        "attempt": each.place.attempt_id,
        "page": each.place.page_id,
        "number": each.place.number,
        "change": "not_judged",
        **_problems(each.problems),
    }


def _problems(problems: Sequence[Problem]) -> dict[str, Any]:
    return errors_json(problems)


def _grade(grade: SaidGrade) -> dict[str, Any]:
    return {
        "marks": grade.marks,
        "marks_available": grade.marks_available,
        "safe_to_energise": grade.safe_to_energise,
    }


def _decision(change: DecisionChange) -> dict[str, Any]:
    return {
        "id": change.after.id,
        "chosen": change.after.chosen,
        "before": _marks(change.before),
        "after": _marks(change.after),
        "because": [_finding_change(each) for each in change.because],
    }


def _marks(decision: SaidDecision) -> dict[str, int]:
    return {"marks": decision.marks, "marks_available": decision.marks_available}


def _finding_change(change: FindingChange) -> dict[str, Any]:
    return {
        "rule": change.either.rule,
        "subject": change.either.subject,
        "turn": change.turn.value,
        "source": change.either.source,
        "before": _finding(change.before),
        "after": _finding(change.after),
    }


def _finding(finding: SaidFinding | None) -> dict[str, Any] | None:
    if finding is None:
        return None
    return {"outcome": finding.outcome, "value": finding.value, "limit": finding.limit, "unit": finding.unit}
