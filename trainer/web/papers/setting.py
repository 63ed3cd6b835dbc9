"""Papers in a list, and one paper: its settings, its way from draft to release."""

from __future__ import annotations

from flask import flash, redirect, render_template, request, url_for
from flask_babel import gettext
from werkzeug.wrappers import Response

from trainer.services.jobs.asking import Subject
from trainer.services.objectives import objectives
from trainer.services.papers.moving import MovingDesk
from trainer.services.papers.setting import PaperView, SettingDesk
from trainer.services.papers.settings import PaperSettings, settings_of
from trainer.services.papers.states import ENTERED, STEPS
from trainer.services.papers.words import PaperState
from trainer.services.people.here import Here
from trainer.web.files.asking import jobs
from trainer.web.forms import tried
from trainer.web.papers.background import draw_in_background, drawing, go_on_drawing
from trainer.web.papers.blueprint import blueprint, desk
from trainer.web.papers.forms import SettingsForm
from trainer.web.people.entry import Page
from trainer.web.present import here
from trainer.web.printing.waiting import Waiting, waiting_of
from trainer.web.sittings.closing import close_sittings

# Nobody copies more papers by hand; reading what waits costs time for each.
_LOOKED_THROUGH = 500


@blueprint.get("/")
def index() -> Page:
    """The papers that the member may act on."""
    me = here()
    papers = desk(SettingDesk).all(me)
    return render_template("papers/index.html", papers=papers, notes=desk(SettingDesk).notes_waiting(me))


@blueprint.route("/new", methods=["GET", "POST"])
def new() -> Page:
    """A new paper: title and settings, then its tasks."""
    me, form = here(), SettingsForm(attempts_allowed=1, mode="graded", release_policy="by_hand")
    groups = desk(SettingDesk).groups(me)
    form.offer(groups)
    if request.method == "GET" and len(groups) == 1:
        form.group_ids.data = [groups[0].group.id]
    if form.validate_on_submit():
        paper = tried(form, lambda: desk(SettingDesk).make(me, form.settings(), form.group_ids.data or ()))
        if paper is not None:
            flash(gettext("The draft is made. Now choose what it asks."))
            return redirect(url_for("papers.build", paper_id=paper.id), code=303)
    page = render_template("papers/settings.html", form=form, paper=None, has_groups=bool(groups))
    return page if request.method == "GET" else (page, 400)


@blueprint.get("/<paper_id>")
def show(paper_id: str) -> Page:
    """One paper: where it stands, what it asks, what can be done next."""
    me = here()
    view = desk(SettingDesk).view(me, paper_id)
    job = None
    if view.paper.state in (PaperState.LOCKED, PaperState.OPEN) and view.variants_drawn < view.variants_wanted:
        job = go_on_drawing(me, paper_id)
    return render_template(
        "papers/show.html",
        view=view,
        paper=view.paper,
        here=me,
        steps=STEPS[view.paper.state],
        words=objectives(),
        drawing=job,
        notes=desk(SettingDesk).notes_waiting(me).get(paper_id, 0) if view.paper.state is PaperState.RELEASED else 0,
        waiting=_waiting(me, view) if view.paper.state in ENTERED else None,
    )


def _waiting(me: Here, view: PaperView) -> Waiting:
    ids = [each.member_id for each in view.candidates[:_LOOKED_THROUGH]]
    return waiting_of(me, view.paper.id, ids)


@blueprint.post("/<paper_id>/variants")
def variants(paper_id: str) -> Response:
    """Stops drawing variants ahead, or goes on with it."""
    me = here()
    desk(SettingDesk).paper(me, paper_id)
    job = drawing(me, paper_id)
    if request.form.get("do") != "stop":
        draw_in_background(me, paper_id)
    elif job is not None:
        jobs().cancel(me, job.job.id, Subject(verb="paper.variants", kind="paper", id=paper_id))
    return redirect(url_for("papers.show", paper_id=paper_id), code=303)


@blueprint.route("/<paper_id>/settings", methods=["GET", "POST"])
def settings(paper_id: str) -> Page:
    """Title, groups, window, limits, access code, release."""
    me = here()
    view = desk(SettingDesk).view(me, paper_id)
    form = _filled(settings_of(view.paper), view.paper.revision, [each.group.id for each in view.groups])
    form.offer(desk(SettingDesk).groups(me))
    stale = False
    if form.validate_on_submit():
        seen = _revision(form.text("revision"))
        paper = tried(
            form, lambda: desk(SettingDesk).change(me, paper_id, seen, form.settings(), form.group_ids.data or ())
        )
        if paper is not None:
            flash(gettext("Changed."))
            return redirect(url_for("papers.show", paper_id=paper_id), code=303)
        stale = seen != view.paper.revision
        # Sent once more it goes in place of theirs, which the page shows beside it.
        form.revision.data = str(view.paper.revision)
    page = render_template("papers/settings.html", form=form, paper=view.paper, has_groups=True, stale=stale)
    return page if request.method == "GET" else (page, 409 if stale else 400)


def _filled(now: PaperSettings, revision: int, group_ids: list[str]) -> SettingsForm:
    values = {name: getattr(now, name) for name in PaperSettings.__slots__}
    values |= {"mode": now.mode.value, "release_policy": now.release_policy.value}
    return SettingsForm(**values, revision=str(revision), group_ids=group_ids)


@blueprint.post("/<paper_id>/state")
def move(paper_id: str) -> Response:
    """Takes the paper to another state."""
    me = here()
    to = PaperState(request.form.get("to", "")) if request.form.get("to") in list(PaperState) else None
    if to is None:
        return redirect(url_for("papers.show", paper_id=paper_id), code=303)
    close_sittings(me.organisation_id, paper_id)
    after = desk(MovingDesk).move(me, paper_id, _revision(request.form.get("revision", "")), to)
    if to is PaperState.LOCKED:
        draw_in_background(me, paper_id)
    if to is PaperState.CLOSED:
        # What has no deadline of its own ends with the paper.
        close_sittings(me.organisation_id, paper_id)
    if to is PaperState.RELEASED and after.state is not PaperState.RELEASED:
        flash(gettext("You asked for the release. Somebody else confirms it."))
    return redirect(url_for("papers.show", paper_id=paper_id), code=303)


@blueprint.post("/<paper_id>/code")
def new_code(paper_id: str) -> Response:
    """A new access code."""
    desk(MovingDesk).new_code(here(), paper_id)
    return redirect(url_for("papers.show", paper_id=paper_id), code=303)


def _revision(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0
