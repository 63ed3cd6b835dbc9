"""The files that somebody asked for: how far they are, cancelled, taken."""

from __future__ import annotations

from datetime import datetime

from flask import Response, abort, flash, redirect, render_template, request, url_for
from flask_babel import gettext
from werkzeug.wrappers import Response as AnyResponse

from trainer.services.jobs.records import Job
from trainer.services.jobs.running import FILES_KEPT
from trainer.services.jobs.storage import Place
from trainer.services.operation.words import JobState
from trainer.web.files.asking import about_of, handed_out, jobs
from trainer.web.files.blueprint import blueprint
from trainer.web.files.kinds import FILE_KINDS
from trainer.web.files.rights import kinds_of, may_take
from trainer.web.people.entry import Page
from trainer.web.present import here

PAGE = 20
_SEPARATOR = "~"


@blueprint.get("/files")
def index() -> Page:
    """What the member asked for, newest first, twenty to a page."""
    me, desk = here(), jobs()
    found = desk.mine(me, kinds_of(me), _after(), PAGE + 1)
    # What somebody may no longer have is not in the list either.
    listed = [desk.view(each) for each in found[:PAGE] if not each.is_over or may_take(me, each)]
    return render_template(
        "files/index.html",
        files=listed,
        kinds=FILE_KINDS,
        is_going=any(not each.job.is_over for each in listed),
        kept_days=FILES_KEPT.days,
        following=_following(found[PAGE - 1]) if len(found) > PAGE else None,
    )


@blueprint.post("/files/<job_id>/cancel")
def cancel(job_id: str) -> AnyResponse:
    """Cancels one."""
    me, job = here(), _mine(job_id)
    after = jobs().cancel(me, job.id, about_of(job.payload))
    if after is not None and after.state is JobState.RUNNING:
        flash(gettext("It ends after the part that it is at."))
    return redirect(url_for("files.index"), code=303)


@blueprint.get("/files/<job_id>/<name>")
def fetch(job_id: str, name: str) -> Response:
    """A file that was made, for whoever may still have it."""
    job = _mine(job_id)
    if not may_take(here(), job):
        abort(404)
    found = jobs().fetch(here(), job, name, about_of(job.payload))
    if found is None:
        abort(404)
    return handed_out(found)


def _mine(job_id: str) -> Job:
    """The job, if the member asked for it."""
    me = here()
    job = jobs().get(me, job_id)
    if job is None or job.asked_by != me.person_id or job.kind not in FILE_KINDS:
        abort(404)
    return job


def _after() -> Place | None:
    text, separator, job_id = request.args.get("after", "").rpartition(_SEPARATOR)
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        return None
    return (at, job_id) if separator and at.tzinfo is not None else None


def _following(last: Job) -> str:
    return f"{last.created_at.isoformat()}{_SEPARATOR}{last.id}"
