"""The marks of a paper as files: few at once, many by the job runner."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from flask import abort
from werkzeug.wrappers import Response

from trainer.services.jobs.asking import Subject
from trainer.services.jobs.records import Job, JobFile, Outcome
from trainer.services.objectives import objectives
from trainer.services.papers.figures import FiguresDesk
from trainer.services.papers.marking import MarkingDesk, Sheet
from trainer.services.papers.tables import Table, marks_table, tables_of
from trainer.services.people.here import Here
from trainer.web.files.asking import ask_file, facts_of, handed_out
from trainer.web.files.inside import InApplication, here_of_job
from trainer.web.files.kinds import MARKS, SMALL
from trainer.web.files.tables import taken_over, written
from trainer.web.files.tabular import as_csv, as_xlsx, harmless
from trainer.web.papers.blueprint import blueprint, desk
from trainer.web.present import here

__all__ = ["MarksFile", "as_csv", "as_xlsx", "export", "harmless"]

FORMS = {"marks.csv": "csv", "marks.xlsx": "xlsx"}


@blueprint.post("/<paper_id>/export/<name>")
def export(paper_id: str, name: str) -> Response:
    """The marks of a paper as ``marks.csv``, or everything as ``marks.xlsx``."""
    form, me = FORMS.get(name), here()
    if form is None:
        abort(404)
    sheet = desk(MarkingDesk).sheet(me, paper_id)
    if len(sheet.lines) > SMALL:
        about = Subject(verb="paper.export", kind="paper", id=paper_id)
        return ask_file(MARKS, {"paper_id": paper_id, "form": form, "title": sheet.paper.title}, 1, about)
    return handed_out(written("marks", form, _tables(me, sheet, form)))


def _tables(me: Here, sheet: Sheet, form: str) -> list[Table]:
    """The marks, and for a workbook also objectives and figures."""
    if form == "csv":
        return [marks_table(sheet)]
    figures, paper_id = desk(FiguresDesk), sheet.paper.id
    return list(tables_of(sheet, figures.objectives(me, paper_id), figures.figures(me, paper_id), objectives()))


class MarksFile(InApplication):
    """The marks of a paper with many sittings, as they stand when the runner comes to it."""

    def part(self, job: Job, number: int, file: Callable[[str], bytes]) -> Sequence[JobFile]:
        """The one part: the file itself. *Raises* TrainerError."""
        del number, file
        form = str(job.payload.get("form"))
        with self._inside(job):
            me = here_of_job(job)
            sheet = desk(MarkingDesk).sheet(me, str(job.payload.get("paper_id")))
            made = written("marks", form, _tables(me, sheet, form))
        return [replace(made, name=f"part-{made.name}")]

    def bound(self, job: Job, file: Callable[[str], bytes]) -> Outcome:
        """The file under its own name."""
        return taken_over(f"marks.{job.payload.get('form')}", file)

    def facts(self, job: Job) -> tuple[str, str, str]:
        """What it is about, for the audit chain."""
        return facts_of(job)
