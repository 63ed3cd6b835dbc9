"""Programmes for whoever manages them: set up, started, who is in them, who is excused."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping

from flask import flash, redirect, render_template, request, url_for
from flask_babel import gettext
from werkzeug.wrappers import Response

from trainer.services.objectives import objectives
from trainer.services.programmes.programmes import PAGE, Moved, ProgrammesDesk
from trainer.services.programmes.records import Tally
from trainer.services.programmes.words import Standing
from trainer.web.forms import tried
from trainer.web.people.entry import Page
from trainer.web.present import here
from trainer.web.programmes.blueprint import blueprint
from trainer.web.programmes.forms import ProgrammePageForm, of_programme, ticked, usual
from trainer.web.programmes.wired import after_time, chosen, following, programmes


@blueprint.get("/programmes")
def index() -> Page:
    """All programmes with how people stand in them."""
    found, tallies, sites, work = programmes(ProgrammesDesk).all(here())
    return render_template("programmes/index.html", programmes=found, counts=counts_of(tallies), sites=sites, work=work)


@blueprint.route("/programmes/new", methods=["GET", "POST"])
def new() -> Page:
    """A new programme."""
    me, desk = here(), programmes(ProgrammesDesk)
    sites, work = desk.places(me)
    form = ProgrammePageForm(data=usual())
    form.offer(sites)
    if form.validate_on_submit():
        made = tried(form, lambda: desk.make(me, form.filled(work)))
        if made is not None:
            flash(gettext("Kept as a draft. Start it when it is as you want it."))
            return redirect(url_for("programmes.show", programme_id=made.id), code=303)
    return _form_page(form, work, ticked(work))


@blueprint.route("/programmes/<programme_id>/change", methods=["GET", "POST"])
def change(programme_id: str) -> Page:
    """Changes a programme; people come in and go as it says then."""
    me, desk = here(), programmes(ProgrammesDesk)
    programme = desk.get(me, programme_id)
    sites, work = desk.places(me)
    form = ProgrammePageForm(data=of_programme(programme))
    form.offer(sites)
    if form.validate_on_submit():
        seen = form.text("revision")
        number = int(seen) if seen.isascii() and seen.isdigit() and len(seen) < 9 else 0
        if tried(form, lambda: desk.change(me, programme_id, number, form.filled(work))):
            flash(gettext("Changed."))
            return redirect(url_for("programmes.show", programme_id=programme_id), code=303)
    wanted = ticked(work) if request.method == "POST" else {**dict.fromkeys(work, ()), **programme.objectives}
    return _form_page(form, work, wanted, programme_id)


def _form_page(
    form: ProgrammePageForm, work: Mapping[str, str], wanted: Mapping[str, tuple[str, ...]], programme_id: str = ""
) -> Page:
    page = render_template(
        "programmes/form.html",
        form=form,
        work=work,
        wanted=wanted,
        objectives=objectives(),
        programme_id=programme_id,
    )
    return page if request.method == "GET" else (page, 400)


@blueprint.get("/programmes/<programme_id>")
def show(programme_id: str) -> Page:
    """One programme with its people by due day, fifty to a page."""
    narrowed = chosen()
    found = programmes(ProgrammesDesk).page(here(), programme_id, narrowed, after_time())
    lines = found.lines[:PAGE]
    last = lines[-1].assignment if len(found.lines) > PAGE else None
    return render_template(
        "programmes/show.html",
        found=found,
        programme=found.programme,
        lines=lines,
        following=following(last.due_at, last.id) if last else None,
        narrowed=narrowed,
        counts=counts_of(found.tallies)[programme_id],
        objectives=objectives(),
        today=programmes(ProgrammesDesk).today(),
        standings=list(Standing),
    )


@blueprint.post("/programmes/<programme_id>/start")
def start(programme_id: str) -> Response:
    """Starts a programme."""
    moved = programmes(ProgrammesDesk).start(here(), programme_id)
    flash(gettext("The programme runs."))
    return _moved(programme_id, moved)


@blueprint.post("/programmes/<programme_id>/end")
def end(programme_id: str) -> Response:
    """Ends a programme."""
    programmes(ProgrammesDesk).end(here(), programme_id)
    flash(gettext("The programme has ended. Records that it gave stay."))
    return redirect(url_for("programmes.show", programme_id=programme_id), code=303)


@blueprint.post("/programmes/<programme_id>/assign")
def assign(programme_id: str) -> Response:
    """Assigns whoever is new in a role, lets go whoever left it."""
    return _moved(programme_id, programmes(ProgrammesDesk).assign(here(), programme_id))


def _moved(programme_id: str, moved: Moved) -> Response:
    flash(
        gettext(
            "Assigned: %(assigned)s. Taken back: %(back)s. No longer in it: %(ended)s.",
            assigned=moved.assigned,
            back=moved.taken_back,
            ended=moved.ended,
        )
    )
    return redirect(url_for("programmes.show", programme_id=programme_id), code=303)


@blueprint.post("/assignments/<assignment_id>/excuse")
def excuse(assignment_id: str) -> Response:
    """Excuses somebody, with a reason."""
    changed = programmes(ProgrammesDesk).excuse(here(), assignment_id, request.form.get("reason", ""))
    flash(gettext("Excused."))
    return redirect(url_for("programmes.show", programme_id=changed.programme_id), code=303)


@blueprint.post("/assignments/<assignment_id>/excuse/end")
def end_excuse(assignment_id: str) -> Response:
    """Takes an excuse back."""
    changed = programmes(ProgrammesDesk).no_longer_excuse(here(), assignment_id)
    flash(gettext("No longer excused."))
    return redirect(url_for("programmes.show", programme_id=changed.programme_id), code=303)


def counts_of(tallies: Iterable[Tally]) -> Mapping[str, Mapping[Standing, int]]:
    """How many people of each programme stand how."""
    counts: dict[str, dict[Standing, int]] = defaultdict(lambda: dict.fromkeys(Standing, 0))
    for each in tallies:
        counts[each.programme_id][each.standing] += each.people
    return counts
