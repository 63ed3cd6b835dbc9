"""Asking for a file that the job runner makes, and handing one out that was made at once."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Response, redirect, request, url_for
from flask_babel import gettext
from werkzeug.wrappers import Response as AnyResponse

from trainer.domain.errors import Problem
from trainer.persistence.jobs.repositories import job_repositories
from trainer.services.jobs.asking import JobDesk, Subject
from trainer.services.jobs.records import Job, JobFile
from trainer.web.files.inside import ROOT, FileError
from trainer.web.files.kinds import FILE_KINDS
from trainer.web.present import here
from trainer.web.wiring import wiring

MOST_WAITING = 5


def jobs() -> JobDesk:
    """The use cases of jobs over this application's storage."""
    wired = wiring()
    return JobDesk(storage=wired.storage.scopes(job_repositories), now=wired.now, new_id=wired.new_id)


def root() -> str:
    """The address at which the site is reached."""
    return (wiring().address or request.url_root).rstrip("/") + "/"


def ask_file(kind: str, payload: Mapping[str, Any], parts: int, about: Subject) -> AnyResponse:
    """Asks for a file and leads to the page where it can be taken. *Raises* FileError where enough wait."""
    me, desk = here(), jobs()
    waiting = [each for each in desk.mine(me, tuple(FILE_KINDS), None, 100) if not each.is_over]
    if len(waiting) >= MOST_WAITING:
        problem = gettext("%(number)s are not finished yet; wait for one of them or cancel it", number=len(waiting))
        raise FileError(Problem(path=gettext("files"), problem=problem))
    payload = {**payload, ROOT: root(), "verb": about.verb, "about_kind": about.kind, "about_id": about.id}
    desk.ask(me, kind, payload, parts, about)
    return redirect(url_for("files.index"), code=303)


def about_of(payload: Mapping[str, Any]) -> Subject:
    """What a job of a file is about, for the audit chain."""
    return Subject(
        verb=str(payload.get("verb", "file")),
        kind=str(payload.get("about_kind", "file")),
        id=str(payload.get("about_id", "")),
    )


def facts_of(job: Job) -> tuple[str, str, str]:
    """The same, as the runner asks for it."""
    about = about_of(job.payload)
    return about.verb, about.kind, about.id


def handed_out(file: JobFile) -> Response:
    """A file as the answer to a request."""
    answer = Response(file.content, content_type=file.media_type)
    answer.headers["Content-Disposition"] = f'attachment; filename="{file.name}"'
    answer.headers["X-Robots-Tag"] = "noindex, nofollow"
    return answer
