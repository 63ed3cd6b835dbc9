"""Printing a paper: asked for, watched, cancelled, taken. Nothing is made here; that is the runner's."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from flask import Response, abort, flash, redirect, render_template, request, url_for
from flask_babel import gettext
from werkzeug.wrappers import Response as AnyResponse

from trainer.domain.errors import Problem, TrainerError
from trainer.services.jobs.asking import Subject
from trainer.services.jobs.records import FileLine, Job
from trainer.services.jobs.running import FILES_KEPT
from trainer.services.operation.words import JobState
from trainer.services.papers.desk import PaperDesk
from trainer.services.papers.records import Paper
from trainer.services.papers.words import PaperState
from trainer.web.files.asking import handed_out
from trainer.web.files.asking import jobs as jobs_desk
from trainer.web.papers.blueprint import desk
from trainer.web.people.entry import Page
from trainer.web.present import here
from trainer.web.printing import pdf
from trainer.web.printing.asking import KIND, MOST_AT_ONCE, Wanted, wanted_from, wanted_of
from trainer.web.printing.blueprint import blueprint

MOST_WAITING = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Print:
    """A job for printing as its page shows it."""

    job: Job
    wanted: Wanted
    asked_by: str
    files: tuple[FileLine, ...]
    until: datetime | None
    is_left: bool


@blueprint.get("/<paper_id>/print")
def index(paper_id: str) -> Page:
    """What was asked for, how far it is, and a form for more."""
    return _page(_paper(paper_id))


@blueprint.post("/<paper_id>/print")
def ask(paper_id: str) -> Page:
    """Asks for variants to be printed."""
    paper = _paper(paper_id)
    try:
        if paper.state is PaperState.DRAFT:
            problem = gettext("lock it first: as long as it is a draft its tasks may change")
            raise pdf.PrintError(Problem(path=gettext("paper"), problem=problem))
        wanted = wanted_from(
            paper_id,
            request.form.get("first", ""),
            request.form.get("count", ""),
            together=request.form.get("files", "together") != "apart",
        )
        _check_turn(paper_id)
    except TrainerError as error:
        return _page(paper, problems=error.problems), 400
    jobs_desk().ask(here(), KIND, wanted.payload, len(wanted.variants), _about(paper_id))
    return redirect(url_for("printing.index", paper_id=paper_id), code=303)


@blueprint.post("/<paper_id>/print/<job_id>/cancel")
def cancel(paper_id: str, job_id: str) -> AnyResponse:
    """Cancels a print."""
    _paper(paper_id)
    job = _job(paper_id, job_id)
    after = jobs_desk().cancel(here(), job.id, _about(paper_id))
    if after is not None and after.state is JobState.RUNNING:
        flash(gettext("It ends after the variant that it is at."))
    return redirect(url_for("printing.index", paper_id=paper_id), code=303)


@blueprint.get("/<paper_id>/print/<job_id>/<name>")
def fetch(paper_id: str, job_id: str, name: str) -> Response:
    """A file that was made."""
    _paper(paper_id)
    found = jobs_desk().fetch(here(), _job(paper_id, job_id), name, _about(paper_id))
    if found is None:
        abort(404)
    return handed_out(found)


def _paper(paper_id: str) -> Paper:
    return desk(PaperDesk).paper(here(), paper_id)


def _job(paper_id: str, job_id: str) -> Job:
    """The job, if it prints this paper."""
    job = jobs_desk().get(here(), job_id)
    if job is None or job.kind != KIND or wanted_of(job.payload).paper_id != paper_id:
        abort(404)
    return job


def _about(paper_id: str) -> Subject:
    return Subject(verb="paper.print", kind="paper", id=paper_id)


def _check_turn(paper_id: str) -> None:
    waiting = [each for each in _prints(paper_id) if not each.job.is_over]
    if len(waiting) >= MOST_WAITING:
        problem = gettext("%(number)s are not finished yet; wait for one of them or cancel it", number=len(waiting))
        raise pdf.PrintError(Problem(path=gettext("prints"), problem=problem))


def _prints(paper_id: str) -> list[Print]:
    jobs = jobs_desk()
    found = []
    for job, name in jobs.latest(here(), KIND):
        wanted = wanted_of(job.payload)
        if wanted.paper_id != paper_id:
            continue
        view = jobs.view(job)
        found.append(
            Print(job=job, wanted=wanted, asked_by=name, files=view.files, until=view.until, is_left=view.is_left)
        )
    return found


def _page(paper: Paper, problems: tuple[Problem, ...] = ()) -> str:
    prints = _prints(paper.id)
    return render_template(
        "printing/index.html",
        paper=paper,
        prints=prints,
        is_going=any(not each.job.is_over for each in prints),
        problems=problems,
        lacking=pdf.missing(),
        packages=pdf.PACKAGES,
        most=MOST_AT_ONCE,
        kept_days=FILES_KEPT.days,
        typed={name: request.form.get(name, usual) for name, usual in (("first", "1"), ("count", "1"))},
        apart=request.form.get("files") == "apart",
    )
