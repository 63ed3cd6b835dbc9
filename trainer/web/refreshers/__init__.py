"""Refreshers for whoever takes them: what is due and why, beginning, and what came of it."""

from __future__ import annotations

from flask import Blueprint, redirect, render_template, url_for
from werkzeug.wrappers import Response

from trainer.services.objectives import objectives
from trainer.services.programmes.training_records import RecordsDesk, is_in_force
from trainer.web.access import MEMBERS, Access
from trainer.web.people.entry import Page
from trainer.web.present import here
from trainer.web.programmes.wired import programmes, refreshers

blueprint = Blueprint("refreshers", __name__)

# Whose refreshers they are is asked in the use cases.
ACCESS: dict[str, Access] = {
    "refreshers.mine": MEMBERS,
    "refreshers.begin": MEMBERS,
    "refreshers.done": MEMBERS,
}


@blueprint.get("/refreshers")
def mine() -> Page:
    """One's own refreshers and records."""
    me, desk = here(), refreshers()
    desk.settle_own(me)
    records = programmes(RecordsDesk).of_member(me, me.member_id)
    today = desk.today()
    return render_template(
        "refreshers/mine.html",
        found=desk.mine(me),
        records=[(each, is_in_force(each, today)) for each in records],
        objectives=objectives(),
    )


@blueprint.post("/refreshers/<assignment_id>")
def begin(assignment_id: str) -> Response:
    """Begins a refresher, or goes on with the one that runs."""
    sitting = refreshers().begin(here(), assignment_id)
    return redirect(url_for("sittings.sitting", sitting_id=sitting.id), code=303)


@blueprint.get("/refreshers/sittings/<sitting_id>")
def done(sitting_id: str) -> Page:
    """What came of a refresher: passed or not, the record, where the explanations stand."""
    passing = refreshers().done(here(), sitting_id)
    if passing is None:
        return redirect(url_for("sittings.sitting", sitting_id=sitting_id), code=303)
    return render_template("refreshers/done.html", passing=passing)
