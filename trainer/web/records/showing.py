"""A training record for its holder and for the firm."""

from __future__ import annotations

from flask import flash, redirect, render_template, request, url_for
from flask_babel import gettext
from werkzeug.wrappers import Response as AnyResponse

from trainer.services.jobs.asking import Subject
from trainer.services.objectives import objectives
from trainer.services.programmes.codes import shown
from trainer.services.programmes.desk import manages
from trainer.services.programmes.training_records import PAGE, RecordsDesk, is_in_force, name_shown
from trainer.services.programmes.words import NameVisibility
from trainer.web.files.asking import ask_file
from trainer.web.files.kinds import RECORD
from trainer.web.people.account import qr
from trainer.web.people.entry import Page
from trainer.web.present import here
from trainer.web.programmes.wired import after_time, chosen, following, programmes
from trainer.web.records.blueprint import blueprint
from trainer.web.records.paper import address_of, why_no_pdf


@blueprint.get("/records")
def index() -> Page:
    """The firm's records, the longest valid first, fifty to a page."""
    desk, narrowed = programmes(RecordsDesk), chosen()
    found = desk.page(here(), narrowed, after_time())
    records = found[:PAGE]
    last = records[-1] if len(found) > PAGE else None
    today = desk.today()
    return render_template(
        "records/index.html",
        records=[(each, is_in_force(each, today)) for each in records],
        narrowed=narrowed,
        following=following(last.valid_until or last.issued_at, last.id) if last else None,
    )


@blueprint.get("/records/<record_id>")
def show(record_id: str) -> Page:
    """A record with its code, and who reads the name."""
    me, desk = here(), programmes(RecordsDesk)
    record = desk.get(me, record_id)
    return render_template(
        "records/show.html",
        record=record,
        in_force=is_in_force(record, desk.today()),
        is_mine=record.member_id == me.member_id,
        manages=manages(me),
        code=shown(record.code),
        address=address_of(record),
        picture=qr(address_of(record)),
        name_shown=name_shown(record),
        visibilities=list(NameVisibility),
        objectives=objectives(),
        why_no_pdf=why_no_pdf(),
    )


@blueprint.post("/records/<record_id>/pdf")
def ask_pdf(record_id: str) -> AnyResponse:
    """Asks for the record on paper."""
    record = programmes(RecordsDesk).get(here(), record_id)
    if record.revoked_at is not None or why_no_pdf():
        return redirect(url_for("records.show", record_id=record_id), code=303)
    about = Subject(verb="record.pdf", kind="record", id=record_id)
    return ask_file(RECORD, {"record_id": record_id, "code": record.code, "title": record.title}, 1, about)


@blueprint.post("/records/<record_id>/name")
def show_name(record_id: str) -> AnyResponse:
    """Lets the holder decide how much of the name third parties read."""
    text = request.form.get("visibility", "")
    visibility = NameVisibility(text) if text in list(NameVisibility) else NameVisibility.HIDDEN
    programmes(RecordsDesk).show_name(here(), record_id, visibility)
    flash(gettext("Changed. Whoever has the code reads it so from now on."))
    return redirect(url_for("records.show", record_id=record_id), code=303)


@blueprint.post("/records/<record_id>/revoke")
def revoke(record_id: str) -> AnyResponse:
    """Revokes a record for good."""
    programmes(RecordsDesk).revoke(here(), record_id, request.form.get("reason", ""))
    flash(gettext("Revoked. Its code shows no record any more."))
    return redirect(url_for("records.show", record_id=record_id), code=303)
