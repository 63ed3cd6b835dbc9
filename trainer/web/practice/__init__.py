"""The pages where a learner works: choose a level, answer a task, read the result."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from trainer.domain.answers.decisions import Decision, apply
from trainer.domain.errors import UnknownNameError
from trainer.domain.questions.defining import Family
from trainer.domain.tasks import TaskKind
from trainer.domain.vocabulary import Outcome
from trainer.services.practice.further import question_on
from trainer.services.practice.tasks import OpenTask
from trainer.services.regrading.judging import judged_again
from trainer.services.scenarios import kind_named
from trainer.services.storage import RegradingRecord
from trainer.web.asked import forms as asked_forms
from trainer.web.asked import pages as asked_pages
from trainer.web.learner import current_learner, learner_with_record
from trainer.web.levels import KINDS, LEVELS
from trainer.web.plan import hints
from trainer.web.practice import keeping
from trainer.web.practice.citing import legend_of
from trainer.web.practice.comparing import comparison
from trainer.web.practice.drawings import marked_drawing, open_drawing
from trainer.web.practice.faults import telling_walks
from trainer.web.practice.forms import SHOW, Filled, read
from trainer.web.practice.groups import groups_of, places_of
from trainer.web.practice.pieces import pieces_of
from trainer.web.practice.templating import install
from trainer.web.practice.wired import opened_at, practice, translated_engine, working

blueprint = Blueprint("practice", __name__)
install(blueprint)


@blueprint.get("/practise")
def start() -> str:
    """The levels to choose from, the offered one marked unless another was asked for."""
    learner = current_learner()
    offered = practice().offered_level(learner.id if learner else None)
    chosen = _level(request.args.get("level")) or offered
    kind = _kind(request.args.get("kind"))
    return render_template(
        "practice/start.html", kinds=KINDS, chosen_kind=kind.value, levels=LEVELS, chosen=chosen, offered=offered
    )


@blueprint.post("/practise")
def begin() -> Response:
    """Makes a task of the level asked for, or of the offered one, and goes to its page."""
    level = _level(request.form.get("level"))
    learner = learner_with_record()
    kind = _kind(request.form.get("kind"))
    wanted = {"archetype": request.form.get("archetype") or None, "family": request.form.get("family") or None}
    page_id = practice().begin(level or practice().offered_level(learner.id), learner.id, kind=kind, **wanted)
    return redirect(url_for("practice.task", page_id=page_id), code=303)


def _kind(text: str | None) -> TaskKind:
    """The kind of task asked for, by default to choose protection."""
    try:
        return kind_named(text or TaskKind.CHOOSE)
    except UnknownNameError:
        abort(404)


def _level(text: str | None) -> int | None:
    """The level asked for, or None where none was asked for."""
    numbers = [level.number for level in LEVELS]
    if text is None or text == "":
        return None
    if not text.isascii() or not text.isdigit() or int(text[:3]) not in numbers:
        abort(404)
    return int(text[:3])


def _opened(page_id: str) -> OpenTask:
    opened = opened_at(page_id)
    if opened is None:
        abort(404)
    return opened


@blueprint.get("/s/<page_id>")
def task(page_id: str) -> str:
    """A task: the house, its papers, and what to decide or to answer."""
    opened = _opened(page_id)
    return _page(opened, keeping.begun(opened))


def _page(opened: OpenTask, filled: Filled) -> str:
    return asked_pages.task_page(opened, filled) if opened.task.asks else _task_page(opened, filled)


@blueprint.post("/s/<page_id>")
def hand_in(page_id: str) -> Response | str | tuple[str, int]:
    """Marks an answer; a form that cannot be marked comes back as it was filled."""
    opened = _opened(page_id)
    asks = opened.task.asks
    filled = asked_forms.read(request.form, asks) if asks else read(request.form, opened.task.decisions)
    if any(name in request.form for name in (hints.HINT, keeping.MARK, keeping.UNMARK, SHOW)):
        return _kept(opened, filled)
    if filled.problems:
        return _page(opened, filled), 400
    is_new, learner = current_learner() is None, learner_with_record()
    number, hinted = _number(request.form.get("attempt", ""), opened), hints.taken(page_id)
    attempt = practice().hand_in(opened, number, filled.answers, filled.certainty, learner.id, hinted, is_new=is_new)
    if keeping.is_owned(opened):
        working().hand_in(page_id, attempt.number)
    return redirect(url_for("practice.result", page_id=page_id, attempt_id=attempt.id), code=303)


def _kept(opened: OpenTask, filled: Filled) -> str | tuple[str, int]:
    """The page again, with what was chosen so far; nothing is handed in."""
    keeping.keep(opened, filled)
    if hints.HINT in request.form:
        hints.take(opened, request.form[hints.HINT])
    keeping.mark(opened, request.form)
    part = request.headers.get(keeping.PART)
    if part == "kept":
        return "", 204
    if part == "marked":
        return render_template("practice/marked.html", **keeping.pack_shown(opened))
    return _page(opened, replace(filled, problems={}))


def _number(text: str, opened: OpenTask) -> int:
    """The number of the attempt that the form was made for; a form sent twice is one attempt."""
    following = len(opened.attempts) + 1
    number = int(text[:6]) if text.isascii() and text.isdigit() else following
    return number if 1 <= number <= following else following


def _task_page(opened: OpenTask, filled: Filled) -> str:
    asked, pieces = opened.task, pieces_of(opened.task_id)
    engine = translated_engine()
    return render_template(
        "practice/task.html",
        task=asked,
        drawing_now=lambda: open_drawing(asked, filled.answers, engine),
        places=pieces.thing("places", lambda: places_of(asked.decisions)),
        groups=pieces.thing("groups", lambda: groups_of(asked, opened.weights, engine.gettext)),
        filled=filled,
        attempt=len(opened.attempts) + 1,
        attempts=opened.attempts,
        page_id=opened.page.id,
        **keeping.pack_shown(opened),
    )


@blueprint.get("/s/<page_id>/result/<attempt_id>")
def result(page_id: str, attempt_id: str) -> str:
    """What an answer earned and why, as it was said when it was marked."""
    opened = _opened(page_id)
    attempt = practice().attempt(page_id, attempt_id)
    if attempt is None:
        abort(404)
    if opened.task.asks:
        return asked_pages.result_page(opened, attempt)
    again = judged_again(practice().storage, [attempt.id]).get(attempt.id, ())
    shown = _asked_for(again) or attempt
    grade = keeping.with_lines(opened, attempt, json.loads(shown.grade_json))
    engine = translated_engine()
    decisions = {each.id: each for each in opened.task.decisions}
    return render_template(
        "practice/result.html",
        task=opened.task,
        attempt=attempt,
        again=again,
        shown=shown,
        marks_of_support=legend_of(grade),
        grade=grade,
        decisions=decisions,
        names={
            each.id: group.name
            for group in groups_of(opened.task, opened.weights, engine.gettext)
            for each in group.decisions
        },
        first=_first(grade),
        further=_further(grade, decisions, opened.task.level),
        compared=comparison(practice().solutions.of(opened.task, opened.task_id), json.loads(attempt.answers_json)),
        walks=telling_walks(
            apply(opened.task.house, opened.task.decisions, json.loads(attempt.answers_json)), opened.task.edition
        ),
        misconceptions={each.id: each for each in practice().catalogue},
        diagram=marked_drawing(opened.task, json.loads(attempt.answers_json), grade, engine),
        page_id=page_id,
    )


def _asked_for(again: Sequence[RegradingRecord]) -> RegradingRecord | None:
    """The result of judging again that the address asks for, or None for what was given first."""
    version = request.args.get("under")
    if version is None:
        return None
    found = [each for each in again if each.rule_set_version == version]
    if not found:
        abort(404)
    return found[-1]


def _further(grade: dict[str, Any], decisions: Mapping[str, Decision], level: int) -> dict[str, Family]:
    """For each decision that lost its marks a family of short questions on the same point, as hard as the task."""
    found: dict[str, Family] = {}
    for each in grade["decisions"]:
        if each["marks"] == each["marks_available"]:
            continue
        failing = [said["rule"] for said in each["explanations"] if said["outcome"] == Outcome.DOES_NOT_COMPLY]
        family = question_on(each["misconception"], failing, decisions[each["id"]].objectives, level)
        if family is not None:
            found[each["id"]] = family
    return found


def _first(grade: dict[str, Any]) -> dict[str, Any] | None:
    """The one thing that matters most: the failing explanation with most at stake."""
    failing = [
        {**said, "decision": each["id"], "lost": each["marks_available"] - each["marks"]}
        for each in grade["decisions"]
        for said in each["explanations"]
        if said["outcome"] == Outcome.DOES_NOT_COMPLY
    ]
    return max(failing, key=lambda each: (each["at_stake"] in {"shock", "fire"}, each["lost"]), default=None)
