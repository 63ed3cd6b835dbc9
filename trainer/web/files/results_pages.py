"""A learner's own results on paper: asked for, watched and taken by the learner alone."""

from __future__ import annotations

from flask import Response, abort, redirect, render_template, url_for
from flask_babel import gettext
from werkzeug.wrappers import Response as AnyResponse

from trainer.domain.errors import Problem
from trainer.services.jobs.asking import JobView
from trainer.services.jobs.own_results import results_job_id
from trainer.services.jobs.running import FILES_KEPT
from trainer.web.files.asking import handed_out, jobs, root
from trainer.web.files.blueprint import blueprint
from trainer.web.files.inside import ROOT, FileError
from trainer.web.files.kinds import RESULTS
from trainer.web.learner import current_learner, learner_with_record
from trainer.web.present import present_owner
from trainer.web.printing import pdf

MOST_WAITING = 200
"""Of all learners together: nobody needs an account to ask, so the queue has an end."""


@blueprint.get("/my-results")
def results() -> str:
    """What the file will hold, and how far it is."""
    learner = current_learner()
    view = _view(learner.id) if learner else None
    account = present_owner() is not None
    return render_template(
        "files/results.html",
        known=learner is not None or account,
        account=account,
        view=view,
        is_going=view is not None and not view.job.is_over,
        lacking=pdf.missing(),
        kept_days=FILES_KEPT.days,
    )


@blueprint.post("/my-results")
def ask_results() -> AnyResponse:
    """Asks for the file; one that is being made is waited for."""
    standing = present_owner()
    # Whoever only sat papers and refreshers gets a record with the first print.
    learner = learner_with_record() if standing else current_learner()
    if learner is None or pdf.missing():
        return redirect(url_for("files.results"), code=303)
    desk = jobs()
    if desk.waiting() >= MOST_WAITING:
        problem = gettext("so many wait for the job runner that this one would take long; ask again later")
        raise FileError(Problem(path=gettext("results"), problem=problem))
    payload = {"learner_id": learner.id, ROOT: root()}
    desk.ask_once(results_job_id(learner.id), RESULTS, payload, 1, asked_by=standing.person.id if standing else None)
    return redirect(url_for("files.results"), code=303)


@blueprint.get("/my-results/results.pdf")
def fetch_results() -> Response:
    """The file."""
    learner = current_learner()
    view = _view(learner.id) if learner else None
    found = jobs().file(view.job, "results.pdf") if view else None
    if found is None:
        abort(404)
    return handed_out(found)


def _view(learner_id: str) -> JobView | None:
    desk = jobs()
    job = desk.find(results_job_id(learner_id), RESULTS)
    return desk.view(job) if job else None
