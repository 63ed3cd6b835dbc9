"""What ``trainer regrade`` says to people."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping
from pathlib import Path

from trainer.domain.answers.decisions import Decision
from trainer.explain.caution import CAUTION
from trainer.services.regrading.differences import (
    DecisionChange,
    FindingChange,
    SaidDecision,
    SaidFinding,
    SaidGrade,
)
from trainer.services.regrading.judging import NotJudged, Rejudged

_WIDTH = 96
_AT_MOST = 4


def change_lines(each: Rejudged, learner: str) -> Iterator[str]:
    """One attempt with another result: whose, from what to what, and why."""
    attempt = each.attempt
    yield f"Attempt {attempt.id} of learner {learner}, handed in {attempt.submitted_at:%Y-%m-%d %H:%M} UTC"
    yield f"  {each.task.title} (invented); judged before under rule set {each.under}"
    yield f"  marks: {_of(each.before)} -> {_of(each.after)}"
    if each.differences.warning:
        said = "is taken back" if each.after.safe_to_energise else "is now given"
        yield f"  the warning 'not safe to energise' {said}"
    decisions = {decision.id: decision for decision in each.task.decisions}
    for change in each.differences.decisions:
        yield from _decision_lines(change, decisions[change.after.id])
    if not each.differences.decisions:
        yield from _reasons(each.differences.findings)


def failure_lines(each: NotJudged) -> Iterator[str]:
    """One attempt that could not be judged again, and why."""
    yield f"Attempt {each.place.attempt_id} cannot be judged again:"
    yield from (f"  {problem}" for problem in each.problems[:_AT_MOST])
    if len(each.problems) > _AT_MOST:
        yield f"  and {len(each.problems) - _AT_MOST} more problems"


def closing_lines(tally: Mapping[str, int], version: str, folder: Path, *, kept: bool) -> Iterator[str]:
    """How many of which kind, and what was kept."""
    again = tally["result"] + tally["findings"] + tally["same"]
    yield f"{tally['attempts']} attempts in {folder}; rule set of this program {version}"
    yield f"  {tally['judged_already']} judged under it when handed in"
    yield f"  {tally['judged_again_already']} judged again under it before"
    yield f"  {again} judged again now: {tally['result']} with another result, {tally['findings']} with the same"
    yield f"    marks but other findings, {tally['same']} the same throughout"
    yield f"  {tally['by_key']} answers to questions, marked by the key delivered with them: no rule judges these"
    yield f"  {tally['not_judged']} could not be judged"
    if kept:
        yield f"{again} results kept beside the first ones."
    elif again:
        yield 'Dry run: nothing was kept. Add --apply --reason "..." to keep both results.'
    yield ""
    yield textwrap.fill(CAUTION, _WIDTH)


def _decision_lines(change: DecisionChange, decision: Decision) -> Iterator[str]:
    option = decision.option(change.after.chosen).label
    yield f"  {decision.question} [{decision.id}] {option}: {_of(change.before)} -> {_of(change.after)}"
    yield from _reasons(change.because)


def _reasons(changes: tuple[FindingChange, ...]) -> Iterator[str]:
    for change in changes[:_AT_MOST]:
        found = change.either
        yield f"    {change.turn}: {found.rule} at {found.subject}: {_move(change)} [{found.source}]"
    if len(changes) > _AT_MOST:
        yield f"    and {len(changes) - _AT_MOST} more findings that differ"


def _move(change: FindingChange) -> str:
    if change.before is None or change.after is None:
        return _said(change.either)
    return f"{_said(change.before)} -> {_said(change.after)}"


def _said(finding: SaidFinding) -> str:
    words = finding.outcome.replace("_", " ")
    if finding.value is None or finding.limit is None:
        return words
    return f"{words}, {_number(finding.value, finding.unit)} against {_number(finding.limit, finding.unit)}"


def _number(value: float | str, unit: str) -> str:
    return f"{value:g} {unit}".rstrip() if isinstance(value, int | float) else value


def _of(marked: SaidGrade | SaidDecision) -> str:
    return f"{marked.marks} of {marked.marks_available}"
