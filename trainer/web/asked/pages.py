"""A task that asks, and what its answers earned."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from flask import render_template
from flask_babel import gettext

from trainer.domain.asks.answers import told
from trainer.domain.asks.forms import AskForm
from trainer.domain.questions.defining import Family
from trainer.domain.tasks import Task, TaskKind
from trainer.services.practice.further import question_on
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
        marks_of_support=legend_of(grade, [each.why for each in asked.key.asks.values()]),
        misconceptions={each.id: each for each in practice().catalogue},
        further=_further(asked, grade),
        page_id=opened.page.id,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class GoingOn:
    """Where to go from an answer that lost its marks: questions on its point, the objectives whose notes explain it."""

    family: Family | None
    objective_ids: tuple[str, ...]


def _further(task: Task, grade: Mapping[str, Any]) -> dict[str, GoingOn]:
    """For each answer that lost its marks where to go on, in the order of the page; nothing is offered twice.

    A short question needs no other: the next of its own family is on the same point.
    """
    asks, families, noted = {each.id: each for each in task.asks}, set[str](), set[str]()
    found: dict[str, GoingOn] = {}
    for each in sorted(grade["decisions"], key=lambda one: -int(one["marks_available"])):
        if each["marks"] == each["marks_available"]:
            continue
        ask = asks[each["id"]]
        family = None
        if task.kind is not TaskKind.QUESTION:
            family = question_on(each["misconception"], task.key.asks[ask.id].rules, ask.objectives, task.level)
        fresh = family if family is not None and family.id not in families else None
        notes = tuple(one for one in ask.objectives[:1] if one not in noted)
        found[ask.id] = GoingOn(family=fresh, objective_ids=notes)
        families |= {fresh.id} if fresh is not None else set()
        noted |= set(notes)
    return found


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
