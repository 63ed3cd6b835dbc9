"""A task that asks, and what its answers earned."""

from __future__ import annotations

import json

from flask import render_template
from flask_babel import gettext

from trainer.domain.asks.answers import told
from trainer.domain.asks.forms import AskForm
from trainer.domain.tasks import Task
from trainer.services.practice.tasks import OpenTask
from trainer.services.storage import AttemptRecord
from trainer.web.asked import forms
from trainer.web.asked.figures import figures_of
from trainer.web.practice.citing import legend_of
from trainer.web.practice.forms import Filled
from trainer.web.practice.keeping import pack_shown
from trainer.web.practice.pieces import pieces_of
from trainer.web.practice.wired import practice, translated_engine

FIRST_ACTION = "first"
"""The ask for what to do first, which stands after the list of what was found."""


def task_page(opened: OpenTask, filled: Filled) -> str:
    """What is asked, with the papers and the drawing."""
    asked = opened.task
    pieces = pieces_of(opened.task_id)
    return render_template(
        "asked/task.html",
        task=asked,
        figures=pieces.thing("figures", lambda: figures_of(asked, translated_engine())),
        marks={each.id: marks for each, marks in zip(asked.asks, opened.weights, strict=True)},
        filled=filled,
        field_of=forms.field_of,
        parts=_parts(filled),
        attempt=len(opened.attempts) + 1,
        attempts=opened.attempts,
        page_id=opened.page.id,
        **_counted(asked, filled),
        **pack_shown(opened),
    )


def _counted(asked: Task, filled: Filled) -> dict[str, object]:
    """How much of a list of rows is answered; where something stands there beforehand, what differs from it counts."""
    rows = [each for each in asked.asks if each.form is AskForm.ONE and each.id != FIRST_ACTION]
    made = [each for each in rows if filled.answers.get(each.id, each.usual) != each.usual]
    words = (
        gettext("{made} of {all} recorded") if any(each.usual for each in rows) else gettext("{made} of {all} judged")
    )
    return {"words_of_count": words, "count_made": len(made), "count_all": len(rows)}


def result_page(opened: OpenTask, attempt: AttemptRecord) -> str:
    """Marks and reasons, as they were said when the answer was marked."""
    asked = opened.task
    grade = json.loads(attempt.grade_json)
    return render_template(
        "asked/result.html",
        task=asked,
        figures=figures_of(asked, translated_engine()),
        asks={each.id: each for each in asked.asks},
        keys=asked.key.asks,
        told=told,
        attempt=attempt,
        grade=grade,
        marks_of_support=legend_of(grade),
        misconceptions={each.id: each for each in practice().catalogue},
        page_id=opened.page.id,
    )


def _parts(filled: Filled) -> dict[str, dict[str, str]]:
    """What stood in the fields of orders and matches, by ask and choice, so that a form comes back as filled."""
    parts: dict[str, dict[str, str]] = {}
    for name, answer in filled.answers.items():
        if ">" in answer:
            parts[name] = {each: str(number) for number, each in enumerate(answer.split(">"), start=1)}
        else:
            pairs = (pair.partition("=") for pair in answer.split("+"))
            parts[name] = {left: right or "on" for left, _, right in pairs}
    return parts
