"""After the sitting: marks with reasons, changes with a reason, notes of learners, figures."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from flask import flash, redirect, render_template, request, url_for
from flask_babel import gettext
from werkzeug.wrappers import Response

from trainer.domain.answers.decisions import Decision
from trainer.domain.asks.answers import AnswerError, told
from trainer.domain.asks.forms import Ask
from trainer.domain.questions.families import ALL_FAMILIES
from trainer.domain.tasks import Task, TaskKind
from trainer.services.objectives import objectives
from trainer.services.papers.counting import passed, percent
from trainer.services.papers.figures import EVERYBODY, FiguresDesk
from trainer.services.papers.marking import MarkedSitting, MarkingDesk
from trainer.services.papers.setting import SettingDesk
from trainer.services.papers.tables import candidate
from trainer.services.papers.watching import WatchingDesk
from trainer.services.papers.words import AppealState
from trainer.services.scenarios import scenarios
from trainer.web.forms import tried
from trainer.web.papers.blueprint import blueprint, desk
from trainer.web.papers.forms import AnswerForm, MarkForm, ReasonForm
from trainer.web.people.entry import Page
from trainer.web.present import here
from trainer.web.sittings.closing import close_sittings

_EVERY_S = 15


@blueprint.get("/<paper_id>/live")
def live(paper_id: str) -> Page:
    """Who has started, what was saved when, who has handed in."""
    me = here()
    close_sittings(me.organisation_id, paper_id)
    watched = desk(WatchingDesk).watch(me, paper_id)
    every_s = _EVERY_S if request.args.get("current") == "yes" else None
    return render_template("papers/live.html", watched=watched, paper=watched.paper, every_s=every_s)


@blueprint.get("/<paper_id>/marks")
def marks(paper_id: str) -> Page:
    """The marks of everybody, by candidate number until the release."""
    return _marks(paper_id, ReasonForm())


def _marks(paper_id: str, form: ReasonForm) -> str:
    me = here()
    close_sittings(me.organisation_id, paper_id)
    sheet = desk(MarkingDesk).sheet(me, paper_id)
    positions = sorted({each.graded.position for items in sheet.items.values() for each in items})
    return render_template(
        "papers/marks.html",
        sheet=sheet,
        paper=sheet.paper,
        here=me,
        positions=positions,
        voided=_voided(sheet.items),
        candidate=candidate,
        percent=percent,
        passed=passed,
        form=form,
        open_appeals=[each for each in sheet.appeals if each.state is AppealState.OPEN],
        names={each.id: candidate(each) if sheet.is_anonymous else each.display_name for each in sheet.lines},
    )


def _voided(items: Mapping[str, Any]) -> set[int]:
    return {each.graded.position for listed in items.values() for each in listed if each.is_voided}


@blueprint.post("/<paper_id>/void")
def void(paper_id: str) -> Page:
    """Takes an item out of everybody's marks."""
    form = ReasonForm()
    position = _number(request.form.get("position", ""))
    if form.validate_on_submit() and tried(
        form, lambda: desk(MarkingDesk).void_item(here(), paper_id, position, form.text("reason"))
    ):
        flash(gettext("Task %(number)s counts for nobody now.", number=position))
        return redirect(url_for("papers.marks", paper_id=paper_id), code=303)
    return _marks(paper_id, form), 400


@blueprint.post("/<paper_id>/changes/<name>/withdraw")
def withdraw(paper_id: str, name: str) -> Response:
    """Takes a change of marks back."""
    desk(MarkingDesk).withdraw(here(), paper_id, name)
    flash(gettext("The change is taken back."))
    return redirect(url_for("papers.marks", paper_id=paper_id), code=303)


@blueprint.get("/sittings/<sitting_id>")
def sitting(sitting_id: str) -> Page:
    """One sitting with marks and reasons."""
    return _sitting(sitting_id, MarkForm(), None, AnswerForm())


def _sitting(sitting_id: str, form: MarkForm, position: int | None, answer_form: AnswerForm) -> str:
    me = here()
    marked = desk(MarkingDesk).sitting(me, sitting_id)
    return render_template(
        "papers/sitting.html",
        marked=marked,
        paper=marked.paper,
        candidate=candidate,
        percent=percent,
        passed=passed,
        items=[_item(marked, each) for each in marked.items],
        form=form,
        wrong_at=position,
        answer_form=answer_form,
        misconceptions=scenarios().misconceptions,
    )


def _item(marked: MarkedSitting, counted: Any) -> dict[str, Any]:
    position = counted.graded.position
    task = marked.tasks[position]
    return {
        "counted": counted,
        "task": task,
        "grade": json.loads(marked.grades[position]),
        "names": {each.id: each.question for each in task.decisions} | {each.id: each.question for each in task.asks},
        "labels": _labels(task),
    }


def _labels(task: Task) -> dict[str, Any]:
    """For each decision or ask how an answer of it is said in words."""
    found: dict[str, Any] = {}
    for decision in task.decisions:
        found[decision.id] = _option_label(decision)
    for ask in task.asks:
        found[ask.id] = _ask_label(ask)
    return found


def _option_label(decision: Decision) -> Any:
    labels = {each.id: each.label for each in decision.options}
    return lambda answer: labels.get(answer, answer)


def _ask_label(ask: Ask) -> Any:
    def said(answer: str) -> str:
        try:
            return told(ask, answer)
        except AnswerError:
            return answer

    return said


@blueprint.post("/sittings/<sitting_id>/marks/<int:position>")
def change_mark(sitting_id: str, position: int) -> Page:
    """Gives an item of a sitting other marks."""
    form = MarkForm()
    if form.validate_on_submit():
        wanted = int(form.marks.data or 0)
        done = tried(
            form,
            lambda: desk(MarkingDesk).change_mark(here(), sitting_id, position, wanted, form.text("reason")),
        )
        if done is not None:
            flash(gettext("The mark is changed; reason and earlier mark are kept."))
            return redirect(url_for("papers.sitting", sitting_id=sitting_id), code=303)
    return _sitting(sitting_id, form, position, AnswerForm()), 400


@blueprint.post("/appeals/<appeal_id>")
def answer_appeal(appeal_id: str) -> Page:
    """Answers a learner's note."""
    form = AnswerForm()
    upheld = form.text("upheld") == "yes"
    found = desk(MarkingDesk).answer_appeal(here(), appeal_id, upheld=upheld, answer=form.text("answer"))
    flash(gettext("Answered. Now change the mark.") if upheld else gettext("Answered."))
    return redirect(url_for("papers.sitting", sitting_id=found.sitting_id), code=303)


@blueprint.get("/<paper_id>/figures")
def figures(paper_id: str) -> Page:
    """What the marks say of the items and of the paper."""
    me = here()
    view = desk(SettingDesk).view(me, paper_id)
    group_id = _group(view.groups)
    return render_template(
        "papers/figures.html",
        view=view,
        paper=view.paper,
        places={each.position: each for each in view.blueprint.places()},
        figures=desk(FiguresDesk).figures(me, paper_id, group_id),
        group_id=group_id,
        misconceptions=scenarios().misconceptions,
        words=objectives(),
        asked_name=asked_name,
    )


@blueprint.get("/<paper_id>/objectives")
def by_objective(paper_id: str) -> Page:
    """Objectives by learner: a table to read and to print."""
    me = here()
    view = desk(SettingDesk).view(me, paper_id)
    group_id = _group(view.groups)
    return render_template(
        "papers/objectives.html",
        view=view,
        paper=view.paper,
        table=desk(FiguresDesk).objectives(me, paper_id, group_id),
        group_id=group_id,
        candidate=candidate,
        words=objectives(),
    )


def asked_name(item_key: str) -> str:
    """What is asked in all variants under a key such as ``choose.type`` or ``question.least_type_for_a_load``."""
    kind, _, rest = item_key.partition("#")[0].partition(".")
    if kind == TaskKind.CHOOSE and rest in scenarios().decisions:
        return scenarios().decisions[rest].question.replace("{place}", "…")
    if kind == TaskKind.QUESTION:
        name = rest.partition(".")[0]
        return next((each.title for each in ALL_FAMILIES if each.id == name), name)
    return rest.replace("_", " ").replace(".", ": ")


def _group(groups: Any) -> str:
    asked = request.args.get("group", EVERYBODY)
    return asked if asked in {each.group.id for each in groups} else EVERYBODY


def _number(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 6 else 0
