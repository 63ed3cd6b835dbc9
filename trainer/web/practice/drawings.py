"""The drawing of a task: open, with the choices made so far, and with what was found."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from flask_babel import gettext

from trainer.domain.answers.decisions import apply, apply_edits
from trainer.domain.tasks import Task
from trainer.domain.vocabulary import Outcome
from trainer.explain.diagram.nodes import Mark
from trainer.explain.diagram.outline import Request
from trainer.explain.diagram.render import Diagram, single_line
from trainer.explain.engine import Engine
from trainer.web.practice.groups import links_of
from trainer.web.practice.pieces import Pieces

_RANK = (Outcome.COMPLIES, Outcome.ADVICE, Outcome.UNDETERMINED, Outcome.DOES_NOT_COMPLY)


def open_drawing(task: Task, answers: Mapping[str, str], engine: Engine) -> Diagram:
    """The drawing to choose at: what was chosen shows, what is still to be decided does not."""
    made = [each for each in task.decisions if each.id in answers]
    house = apply_edits(task.house, [edit for each in made for edit in each.option(answers[each.id]).edits])
    undecided = task.undecided_paths - {path for each in made for path in each.paths}
    request = Request(undecided=undecided, links=links_of(task.decisions), translate=engine.gettext)
    return single_line(house, request, engine=engine)


def kept_drawing(pieces: Pieces, task: Task, answers: Mapping[str, str], engine: Engine) -> Diagram:
    """The drawing to choose at, kept as it is before anything is chosen."""
    if answers:
        return open_drawing(task, answers, engine)
    drawn = cache(lambda: open_drawing(task, {}, engine))
    return Diagram(
        svg=pieces.text(("drawing",), lambda: drawn().svg),
        twin=pieces.text(("drawing in words",), lambda: drawn().twin),
    )


def marked_drawing(task: Task, answers: Mapping[str, str], grade: Mapping[str, Any], engine: Engine) -> Diagram:
    """The drawing as chosen, each place with the worst that the rules say of it and a way to what they say."""
    house = apply(task.house, task.decisions, answers)
    words = {
        Outcome.COMPLIES: gettext("complies"),
        Outcome.DOES_NOT_COMPLY: gettext("does not comply"),
        Outcome.ADVICE: gettext("advice"),
        Outcome.UNDETERMINED: gettext("undetermined"),
    }
    marks = {
        place: Mark(outcome=outcome, word=words[outcome])
        for place, outcome in _worst(task, grade).items()
        if outcome is not Outcome.COMPLIES
    }
    request = Request(marks=marks, links=links_of(task.decisions), translate=engine.gettext)
    return single_line(house, request, engine=engine)


def _worst(task: Task, grade: Mapping[str, Any]) -> dict[str, Outcome]:
    worst: dict[str, Outcome] = {}
    for finding in grade["findings"]:
        outcome, place = Outcome(finding["outcome"]), finding["subject"]
        worst[place] = max(worst.get(place, Outcome.COMPLIES), outcome, key=_RANK.index)
    subjects = {each.id: each.subject for each in task.decisions}
    for decision in grade["decisions"]:
        # A rule may judge the load where the choice was the device's: the mark belongs at both.
        if decision["marks"] < decision["marks_available"]:
            worst[subjects[decision["id"]]] = Outcome.DOES_NOT_COMPLY
    return worst
