"""``trainer regrade``: stored attempts judged again by the rule set of this program."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import click

from trainer.cli.output import JSON, errors_as, format_option, print_json_with_list
from trainer.cli.regrade_text import change_lines, closing_lines, failure_lines
from trainer.cli.serving import data_option, prepared, regrading_over
from trainer.domain.errors import Problem
from trainer.explain.caution import CAUTION
from trainer.interop.regrading_json import REGRADING_FORMAT, REGRADING_FORMAT_VERSION, not_judged_json, rejudged_json
from trainer.services.regrading.judging import (
    ByKey,
    NotJudged,
    Outcome,
    ReasonError,
    Regrading,
    Rejudged,
    Untouched,
    checked_reason,
)

_NOT_ALL_JUDGED = 1
_SHOWN_OF_AN_ID = 6


@click.command()
@click.option("--apply", "keep", is_flag=True, help="Keep the new results beside the first ones; needs --reason.")
@click.option("--reason", metavar="TEXT", help="Why the attempts are judged again; learners read it.")
@data_option
@format_option
def regrade(keep: bool, reason: str | None, data: Path | None, form: str) -> None:
    """Judge stored attempts again by the rule set of this program, and show whom that changes and why.

    Without --apply nothing is kept. Attempts that this rule set has judged already are counted only.
    The task is judged as it was delivered. Exit code 0: done. 1: some attempts could not be judged.
    """
    with errors_as(form):
        why = _reason(keep, reason)
        settings, database = prepared(data)
    tally: Counter[str] = Counter()
    use_case = regrading_over(database)
    outcomes = _counted(_with_progress(use_case, why), tally)
    try:
        if form == JSON:
            head = {
                "format": REGRADING_FORMAT,
                "format_version": REGRADING_FORMAT_VERSION,
                "applied": keep,
                "reason": why,
                "rule_set_version": use_case.version,
                "counts": tally,
                "caution": CAUTION,
            }
            print_json_with_list(head, "attempts", _as_json(outcomes))
        else:
            for each in outcomes:
                _tell(each)
            click.echo("\n".join(closing_lines(tally, use_case.version, settings.data_folder, kept=keep)))
    finally:
        database.close()
    sys.exit(_NOT_ALL_JUDGED if tally["not_judged"] else 0)


def _reason(keep: bool, reason: str | None) -> str | None:
    """The reason to keep results with, or None for a dry run. *Raises* ReasonError."""
    if keep:
        return checked_reason(reason or "")
    if reason is not None:
        problem = "a reason alone keeps nothing: add --apply, or leave the reason out for a dry run"
        raise ReasonError(Problem(path="reason", value=reason, problem=problem))
    return None


def _with_progress(use_case: Regrading, why: str | None) -> Iterator[Outcome]:
    """The outcomes, with a bar on standard error where that is a terminal."""
    with click.progressbar(use_case.run(why), length=use_case.count(), label="Judging again", file=sys.stderr) as bar:
        yield from bar


def _counted(outcomes: Iterator[Outcome], tally: Counter[str]) -> Iterator[Outcome]:
    """The outcomes as they come, each counted under its name."""
    tally.update(dict.fromkeys(_NAMES, 0))
    for each in outcomes:
        tally["attempts"] += 1
        tally[_name(each)] += 1
        yield each


_NAMES = ("attempts", "judged_already", "judged_again_already", "by_key", "not_judged", "result", "findings", "same")


def _name(each: Outcome) -> str:
    if isinstance(each, Untouched):
        return "judged_already" if each.at_first else "judged_again_already"
    if isinstance(each, ByKey):
        return "by_key"
    if isinstance(each, NotJudged):
        return "not_judged"
    return "result" if each.differences.result else "findings" if each.differences.findings else "same"


def _as_json(outcomes: Iterator[Outcome]) -> Iterator[object]:
    """The attempts that differ, or that could not be judged."""
    for each in outcomes:
        if isinstance(each, NotJudged):
            yield not_judged_json(each)
        elif isinstance(each, Rejudged) and (each.differences.result or each.differences.findings):
            yield rejudged_json(each, shortened(each.attempt.learner_id))


def _tell(each: Outcome) -> None:
    if isinstance(each, NotJudged):
        click.echo("\n".join((*failure_lines(each), "")))
    elif isinstance(each, Rejudged) and each.differences.result:
        click.echo("\n".join((*change_lines(each, shortened(each.attempt.learner_id)), "")))


def shortened(learner_id: str | None) -> str:
    """The start of an id: enough to tell learners apart, too little to take one's place."""
    if learner_id is None:
        return "unknown"
    return learner_id if len(learner_id) <= _SHOWN_OF_AN_ID else f"{learner_id[:_SHOWN_OF_AN_ID]}..."
