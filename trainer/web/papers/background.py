"""Variants drawn while nobody waits: asked for here, drawn by the job runner."""

from __future__ import annotations

from flask import current_app

from trainer.services.jobs.asking import JobView
from trainer.services.operation.words import JobState
from trainer.services.papers.moving import MovingDesk
from trainer.services.people.here import Here
from trainer.web.files.asking import jobs
from trainer.web.files.kinds import VARIANTS
from trainer.web.files.variants import ask_for_variants, job_id_of
from trainer.web.papers.blueprint import desk

SWITCH = "PAPERS_DRAW_IN_BACKGROUND"
"""Setting of the application: False draws at once, so that a test need not wait."""
_STOPPED = (JobState.CANCELLED, JobState.FAILED)


def draw_in_background(here: Here, paper_id: str) -> None:
    """Asks for the variants that are missing; those that are being drawn are not asked for again."""
    if not current_app.config.get(SWITCH, True):
        desk(MovingDesk).prepare_all(here, paper_id)
        return
    paper, missing = desk(MovingDesk).missing(here, paper_id)
    if missing:
        ask_for_variants(jobs(), paper, missing, here.person_id)


def drawing(here: Here, paper_id: str) -> JobView | None:
    """The job that draws or drew the variants of a paper."""
    view = jobs()
    job = view.find(job_id_of(paper_id), VARIANTS, here.organisation_id)
    return view.view(job) if job else None


def go_on_drawing(here: Here, paper_id: str) -> JobView | None:
    """The job that draws what is missing: people who joined since the last one want variants of their own.

    What somebody cancelled, or what could not be done, is left until it is asked for.
    """
    view = drawing(here, paper_id)
    if view is not None and (not view.job.is_over or view.job.state in _STOPPED):
        return view
    draw_in_background(here, paper_id)
    return drawing(here, paper_id)
