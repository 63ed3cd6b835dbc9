"""The papers of a learner, and starting one."""

from __future__ import annotations

from flask import current_app, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug.exceptions import NotFound

from trainer.services.papers.own_results import OwnResult, OwnResults
from trainer.services.people.here import Here
from trainer.services.sittings.errors import NotYoursError, WrongCodeError
from trainer.services.sittings.starting import Starting
from trainer.web.people.entry import Page
from trainer.web.present import here
from trainer.web.sittings.blueprint import blueprint
from trainer.web.sittings.wired import sitting_desk


@blueprint.errorhandler(NotYoursError)
def not_yours(_error: NotYoursError) -> ResponseReturnValue:
    """What is another's looks as if it were not there."""
    return current_app.handle_http_exception(NotFound())


@blueprint.errorhandler(WrongCodeError)
def wrong_code(error: WrongCodeError) -> Page:
    """The page of the paper again, with the code to be typed anew."""
    arguments = request.view_args or {}
    return _page(here(), str(arguments["paper_id"]), problem=str(error.problems[0].problem)), 400


@blueprint.get("/my-papers")
def index() -> str:
    """All papers that are set for the learner, and every result that may be seen."""
    me = here()
    lines = sitting_desk(Starting).mine(me)
    told: dict[str, list[OwnResult]] = {}
    for each in sitting_desk(OwnResults).told(me):
        told.setdefault(each.paper_id, []).append(each)
    shown = {line.paper.id for line in lines}
    earlier = [each for paper_id, listed in told.items() if paper_id not in shown for each in listed]
    return render_template("sittings/index.html", lines=lines, told=told, earlier=earlier)


@blueprint.get("/my-papers/<paper_id>")
def paper(paper_id: str) -> str:
    """One paper: its conditions, the start, the attempts so far."""
    return _page(here(), paper_id)


@blueprint.post("/my-papers/<paper_id>/start")
def start(paper_id: str) -> Page:
    """Starts an attempt, or goes on with the one that is there."""
    number = request.form.get("number", "")
    wanted = int(number) if number.isascii() and number.isdigit() and len(number) < 4 else 1
    sitting = sitting_desk(Starting).start(here(), paper_id, wanted, request.form.get("code", "")[:100])
    return redirect(url_for("sittings.sitting", sitting_id=sitting.id), code=303)


def _page(me: Here, paper_id: str, problem: str = "") -> str:
    conditions = sitting_desk(Starting).conditions(me, paper_id)
    return render_template("sittings/paper.html", conditions=conditions, line=conditions.line, problem=problem)
