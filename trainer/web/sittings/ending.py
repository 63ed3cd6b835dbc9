"""Handing in, and the result after release."""

from __future__ import annotations

import json

from flask import flash, redirect, render_template, request, url_for
from flask_babel import gettext
from werkzeug.wrappers import Response

from trainer.domain.asks.answers import told
from trainer.persistence.papers.repositories import paper_repositories
from trainer.services.papers.counting import percent
from trainer.services.papers.marking import MarkingDesk
from trainer.services.papers.words import PaperMode
from trainer.services.sittings.finishing import Finishing
from trainer.services.sittings.results import ItemResult, Result, Results
from trainer.web.asked.figures import figures_of
from trainer.web.people.entry import Page
from trainer.web.practice.drawings import marked_drawing
from trainer.web.practice.wired import practice, translated_engine
from trainer.web.practice.writing import StoredForm
from trainer.web.present import here
from trainer.web.sittings.blueprint import blueprint
from trainer.web.sittings.wired import sitting_desk
from trainer.web.wiring import wiring


@blueprint.post("/sittings/<sitting_id>/hand-in")
def hand_in(sitting_id: str) -> Response:
    """Hands in and marks; sent again it changes nothing."""
    sitting = sitting_desk(Finishing).hand_in(here(), sitting_id)
    if sitting.assignment_id is not None:
        # A refresher: what it came to by its programme, and the record if it was passed.
        return redirect(url_for("refreshers.done", sitting_id=sitting_id), code=303)
    return redirect(url_for("sittings.result", sitting_id=sitting_id), code=303)


@blueprint.get("/sittings/<sitting_id>/result")
def result(sitting_id: str) -> Page:
    """What a sitting earned; before the release only that it was handed in."""
    found = sitting_desk(Results).result(here(), sitting_id)
    if found.sitting.is_open:
        return redirect(url_for("sittings.sitting", sitting_id=sitting_id), code=303)
    if not found.is_told:
        return render_template("sittings/handed_in.html", result=found, sitting=found.sitting)
    marks, available = found.marks
    return render_template(
        "sittings/result.html",
        result=found,
        sitting=found.sitting,
        marks=marks,
        available=available,
        percent=percent(marks, available),
        unsafe=_unsafe(found),
        may_appeal=_may_appeal(found),
    )


@blueprint.get("/sittings/<sitting_id>/result/<int:position>")
def result_item(sitting_id: str, position: int) -> Page:
    """One item after release with every explanation."""
    found = sitting_desk(Results).item(here(), sitting_id, position)
    return _item_page(found)


@blueprint.post("/sittings/<sitting_id>/appeal")
def appeal(sitting_id: str) -> Response:
    """A note that a mark is wrong, to whoever set the paper."""
    text = request.form.get("position", "")
    position = int(text) if text.isascii() and text.isdigit() and len(text) < 4 else None
    wired = wiring()
    desk = MarkingDesk(
        storage=wired.storage.scopes(paper_repositories), form=StoredForm(), now=wired.now, new_id=wired.new_id
    )
    me = here()
    # Only the owner gets here: a sitting that is another's has no result.
    sitting_desk(Results).result(me, sitting_id)
    # A release by date may have come since anybody of the staff looked.
    desk.tick(me.organisation_id)
    desk.raise_appeal(me, sitting_id, position, request.form.get("note", ""))
    flash(gettext("Your note is with whoever set the paper."))
    return redirect(url_for("sittings.result", sitting_id=sitting_id), code=303)


def _unsafe(found: Result) -> frozenset[int]:
    """The positions of the tasks whose answers leave a danger: where they decide, it is told which."""
    told = ((line.item.position, json.loads(line.grade_json)) for line in found.lines if not line.counted.is_voided)
    return frozenset(position for position, grade in told if grade.get("safe_to_energise") is False)


def _may_appeal(found: Result) -> bool:
    """What practice tells at once is not released, and nobody's to answer for."""
    return found.paper is not None and found.paper.mode is not PaperMode.PRACTICE


def _item_page(found: ItemResult) -> str:
    task, engine = found.task, translated_engine()
    grade = json.loads(found.line.grade_json)
    common = {
        "found": found,
        "line": found.line,
        "sitting": found.result.sitting,
        "task": task,
        "grade": grade,
        "misconceptions": {each.id: each for each in practice().catalogue},
    }
    if task.asks:
        return render_template(
            "sittings/result_ask.html",
            **common,
            asks={each.id: each for each in task.asks},
            keys=task.key.asks,
            told=told,
            figures=figures_of(task, engine),
        )
    # Open decisions are drawn as the nearest acceptable answer has them.
    chosen = {each["id"]: each["chosen"] or each["nearest_option"] for each in grade["decisions"]}
    return render_template(
        "sittings/result_choose.html",
        **common,
        decisions={each.id: each for each in task.decisions},
        diagram=marked_drawing(task, chosen, grade, engine),
    )
