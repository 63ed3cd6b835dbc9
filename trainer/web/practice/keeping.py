"""What a learner does at a page before handing in, as the page keeps and shows it: choices, and marks in the papers."""

from __future__ import annotations

from typing import Any

from flask import request, url_for
from werkzeug.datastructures import MultiDict

from trainer.services.practice.tasks import OpenTask
from trainer.services.practice.work import NOTHING, Work
from trainer.services.storage import AttemptRecord
from trainer.web.learner import current_learner
from trainer.web.practice.forms import EMPTY, Filled
from trainer.web.practice.pack import line_ids, line_told, marked_in, pack_of
from trainer.web.practice.pieces import pieces_of
from trainer.web.practice.wired import work_done_at, working

MARK, UNMARK = "mark", "unmark"
"""The fields by which the form of a task marks a line of the papers, and takes the mark away."""

PART = "X-Part"
"""The header by which a script asks for less than the whole page."""

_FIND = "find"
_LONGEST_ANSWER = 400


def is_owned(opened: OpenTask) -> bool:
    """True for whoever began the task: to others who have the address it lends neither marks nor choices."""
    learner = current_learner()
    return learner is not None and learner.id == opened.page.learner_id


def work_at(opened: OpenTask) -> Work:
    """What whoever asks did at a page."""
    return work_done_at(opened.page.id) if is_owned(opened) else NOTHING


def begun(opened: OpenTask) -> Filled:
    """The form as it was left, here or on another device."""
    work = work_at(opened)
    if not work.answers and not work.certainty:
        return EMPTY
    return Filled(answers=work.answers, certainty=work.certainty, problems={})


def keep(opened: OpenTask, filled: Filled) -> None:
    """Keeps what can be read of a form that is not handed in."""
    if not is_owned(opened):
        return
    answers = {
        name: answer
        for name, answer in filled.answers.items()
        if name not in filled.problems and len(answer) <= _LONGEST_ANSWER
    }
    working().draft(opened.page.id, answers, filled.certainty)


def mark(opened: OpenTask, form: MultiDict[str, str]) -> None:
    """Marks a line or takes the mark away; what is no line of the papers is ignored."""
    on = MARK in form
    line_id = form.get(MARK if on else UNMARK, "")
    if is_owned(opened) and line_id in line_ids(opened.task):
        working().mark(opened.page.id, line_id, on=on)


def with_lines(opened: OpenTask, attempt: AttemptRecord, grade: dict[str, Any]) -> dict[str, Any]:
    """A grade in which each place in the papers has its line, and whether that was marked before handing in.

    Whoever marked nothing is told nothing about marks, and so is the reader of somebody else's attempt.
    """
    marked = work_at(opened).handed_in.get(attempt.number, ())
    is_theirs = attempt.learner_id == opened.page.learner_id
    pack = pack_of(opened.task)
    for each in grade["decisions"]:
        for said in each.get("explanations", ()):
            for told in said.get("rests_on", ()):
                line = line_told(pack, told)
                told["line"] = line
                if line is not None and marked and is_theirs:
                    told["was_marked"] = line.id in marked
    return grade


def pack_shown(opened: OpenTask) -> dict[str, Any]:
    """What the templates of the papers take."""
    looked_for = request.args.get(_FIND, "")
    marks_now = MARK in request.form or UNMARK in request.form
    address = url_for("practice.hand_in", page_id=opened.page.id)
    pieces, marked = pieces_of(opened.task_id), work_at(opened).marked
    if looked_for.strip():
        pack = pack_of(opened.task, marked, looked_for)
    else:
        pack = marked_in(pieces.thing("pack", lambda: pack_of(opened.task)), marked)
    return {
        "pieces": pieces,
        "pack": pack,
        "marking": address if is_owned(opened) else "",
        "at_papers": bool(looked_for) or marks_now,
    }
