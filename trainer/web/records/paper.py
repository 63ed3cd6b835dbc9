"""A training record on paper: a page of its own with its own style, and a PDF of it, which the job runner makes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from flask import current_app, render_template, request, url_for
from flask_babel import gettext

from trainer.domain.errors import Problem
from trainer.services.jobs.records import Job, JobFile, Outcome
from trainer.services.objectives import objectives
from trainer.services.programmes.codes import shown
from trainer.services.programmes.records import TrainingRecord
from trainer.services.programmes.training_records import RecordsDesk
from trainer.web.files.asking import facts_of
from trainer.web.files.inside import FileError, InApplication, here_of_job
from trainer.web.files.tables import PDF_TYPE, taken_over
from trainer.web.people.account import qr
from trainer.web.printing import pdf
from trainer.web.programmes.wired import programmes
from trainer.web.wiring import wiring

_STYLE = "record.css"
_LINK = f'<link rel="stylesheet" href="{_STYLE}">'


def address_of(record: TrainingRecord) -> str:
    """The full address under which a third party checks the record."""
    return (wiring().address or request.url_root).rstrip("/") + url_for("records.check", code=record.code)


def paper_page(record: TrainingRecord) -> str:
    """The record as a page that stands by itself; it carries the name, because the holder hands it on."""
    return render_template(
        "records/paper.html",
        record=record,
        code=shown(record.code),
        address=address_of(record),
        picture=qr(address_of(record)),
        objectives=objectives(),
    )


def stylesheet() -> str:
    """The style of the page."""
    return Path(str(current_app.static_folder), _STYLE).read_text("utf-8")


def record_pdf(page: str) -> bytes:
    """The page as PDF. *Raises* PrintError."""
    # Its own link to the style is for browsers.
    return pdf.pdf_of(page.replace(_LINK, ""), stylesheet())


def why_no_pdf() -> str:
    """What is missing to make a PDF; empty where nothing is."""
    missing = pdf.missing()
    if not missing:
        return ""
    said = gettext(
        "A PDF cannot be made here: %(missing)s. Install the extra print of this program and the libraries it names; "
        "meanwhile print this page from the browser.",
        missing=missing,
    )
    return str(said)


class RecordPdf(InApplication):
    """The PDF of one record, for its holder or for the firm."""

    def part(self, job: Job, number: int, file: Callable[[str], bytes]) -> Sequence[JobFile]:
        """The file. *Raises* TrainerError."""
        del number, file
        with self._inside(job):
            record = programmes(RecordsDesk).get(here_of_job(job), str(job.payload.get("record_id")))
            if record.revoked_at is not None:
                raise FileError(Problem(path="record", problem="was revoked; there is nothing to print"))
            content = record_pdf(paper_page(record))
        return [JobFile(name=f"part-{_name(job)}", media_type=PDF_TYPE, content=content)]

    def bound(self, job: Job, file: Callable[[str], bytes]) -> Outcome:
        """The file under its own name."""
        return taken_over(_name(job), file)

    def facts(self, job: Job) -> tuple[str, str, str]:
        """What it is about, for the audit chain."""
        return facts_of(job)


def _name(job: Job) -> str:
    return f"training-record-{str(job.payload.get('code'))[:10]}.pdf"
