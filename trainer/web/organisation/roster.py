"""Rosters: a file is sent, what it would change is shown, then all of it counts or nothing."""

from __future__ import annotations

from flask import flash, redirect, render_template, request, url_for
from flask_babel import gettext
from werkzeug.wrappers import Response

from trainer.services.people.roster import COLUMNS, MOST_BYTES, MOST_LINES, Roster, read_roster
from trainer.services.people.roster_desk import RosterDesk
from trainer.services.people.roster_plan import Step
from trainer.services.people.words import Role
from trainer.web.forms import tried
from trainer.web.organisation.blueprint import blueprint
from trainer.web.organisation.forms import RosterForm, TakeRosterForm
from trainer.web.people.entry import Page
from trainer.web.present import desk, here

# Changes shown in full; all of them are counted, and every bad line is shown.
_SHOWN = 200


@blueprint.route("/roster", methods=["GET", "POST"])
def roster() -> Page:
    """Takes a file and leads to its preview."""
    me, form = here(), RosterForm()
    if form.validate_on_submit():
        read = tried(form, lambda: _read(form))
        if read is not None:
            draft_id = desk(RosterDesk).keep(me, read)
            return redirect(url_for("organisation.roster_preview", job_id=draft_id), code=303)
    page = render_template(
        "organisation/roster.html",
        here=me,
        form=form,
        columns=COLUMNS,
        most_lines=MOST_LINES,
        most_kib=MOST_BYTES // 1024,
    )
    return page if request.method == "GET" else (page, 400)


def _read(form: RosterForm) -> Roster:
    # One byte more than is taken, so that a larger file is told from one that just fits.
    return read_roster(form.file.data.stream.read(MOST_BYTES + 1), form.text("encoding"))


@blueprint.get("/roster/<job_id>")
def roster_preview(job_id: str) -> Page:
    """What the roster would change, and every bad line."""
    return _preview(job_id, TakeRosterForm())


def _preview(job_id: str, form: TakeRosterForm) -> str:
    plan = desk(RosterDesk).plan(here(), job_id)
    form.fingerprint.data = plan.fingerprint
    doing = [each for each in plan.lines if each.step is not Step.KEEP or each.group]
    return render_template(
        "organisation/roster_preview.html", plan=plan, form=form, job_id=job_id, doing=doing[:_SHOWN], in_all=len(doing)
    )


@blueprint.post("/roster/<job_id>")
def take_roster(job_id: str) -> Page:
    """Does what was shown."""
    form = TakeRosterForm()
    if form.validate_on_submit():
        done = tried(form, lambda: desk(RosterDesk).take(here(), job_id, form.text("fingerprint")))
        if done is not None:
            flash(
                gettext(
                    "Brought in: %(added)s added, %(changed)s changed, %(placed)s put into groups.",
                    added=done.added,
                    changed=done.changed,
                    placed=done.placed,
                )
            )
            sees_people = here().is_any(Role.TRAINING_MANAGER, Role.ADMINISTRATOR)
            there = "organisation.people" if sees_people and not done.placed else "organisation.groups"
            return redirect(url_for(there), code=303)
    return _preview(job_id, form), 400


@blueprint.post("/roster/<job_id>/drop")
def drop_roster(job_id: str) -> Response:
    """Throws the roster away."""
    desk(RosterDesk).drop(here(), job_id)
    return redirect(url_for("organisation.roster"), code=303)
