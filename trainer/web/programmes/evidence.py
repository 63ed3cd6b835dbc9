"""The evidence pack: a ZIP of what the firm can show, with a page that says what it proves and what it does not.

The job runner makes it: first the matrix, some hundred people at a time, then the records, some at a
time, each as a page and, where they are not too many, as PDF.
"""

from __future__ import annotations

import io
import math
import zipfile
from collections.abc import Callable, Sequence
from datetime import datetime

from flask import render_template

from trainer.services.jobs.records import Job, JobFile, Outcome
from trainer.services.objectives import objectives
from trainer.services.papers.tables import Table
from trainer.services.people.here import Here
from trainer.services.programmes.codes import shown
from trainer.services.programmes.firm import MOST_RECORDS, Evidence, FirmDesk
from trainer.services.programmes.records import Filter, TrainingRecord
from trainer.services.programmes.storage import Place
from trainer.web.files.asking import facts_of
from trainer.web.files.inside import InApplication, here_of_job
from trainer.web.files.tables import as_value, joined, kept, read
from trainer.web.files.tabular import as_csv
from trainer.web.printing import pdf
from trainer.web.programmes.making import chosen_of, matrix_part, matrix_parts, whole_matrix
from trainer.web.programmes.wired import programmes
from trainer.web.records.paper import paper_page, record_pdf, stylesheet
from trainer.web.wiring import wiring

ZIP_TYPE = "application/zip"
MOST_PDFS = 200
"""One takes about a third of a second; beyond that the pages are printed from a browser."""
_RECORDS = 20


def parts_of_pack(people: int, records: int) -> tuple[int, int]:
    """In how many parts the matrix and the records are made."""
    return matrix_parts(people), max(1, math.ceil(min(records, MOST_RECORDS) / _RECORDS))


class EvidencePack(InApplication):
    """The pack of a firm, narrowed as its matrix is."""

    def part(self, job: Job, number: int, file: Callable[[str], bytes]) -> Sequence[JobFile]:
        """Some hundred people of the matrix, or some records with what was asked. *Raises* TrainerError."""
        rows = int(job.payload["rows"])
        with self._inside(job):
            here, chosen = here_of_job(job), chosen_of(job.payload)
            if number <= rows:
                return [matrix_part(here, chosen, number, rows, file)]
            return _records_part(here, chosen, number - rows, with_pdf=bool(job.payload["with_pdf"]), file=file)

    def bound(self, job: Job, file: Callable[[str], bytes]) -> Outcome:
        """Everything in one file."""
        rows = int(job.payload["rows"])
        numbers = range(1, job.progress_total - rows + 1)
        with self._inside(job):
            content = _packed(here_of_job(job), whole_matrix(rows, file), numbers, file)
        return Outcome(files=(JobFile(name="evidence.zip", media_type=ZIP_TYPE, content=content),))

    def facts(self, job: Job) -> tuple[str, str, str]:
        """What it is about, for the audit chain."""
        return facts_of(job)


def _records_part(
    here: Here, chosen: Filter, number: int, *, with_pdf: bool, file: Callable[[str], bytes]
) -> Sequence[JobFile]:
    before = read(file, _json(number - 1)).get("after") if number > 1 else None
    after: Place | None = (before[0], before[1]) if isinstance(before, list) else None
    if number > 1 and after is None:
        found = Evidence(records=(), asked=(), after=None)
    else:
        found = programmes(FirmDesk).evidence(here, chosen, after, _RECORDS)
    listed = {"records": as_value(_records(found)), "asked": as_value(_asked(found)), "after": found.after}
    return [kept(_json(number), listed), _pages(number, found.records, with_pdf=with_pdf)]


def _pages(number: int, records: Sequence[TrainingRecord], *, with_pdf: bool) -> JobFile:
    content, now = io.BytesIO(), wiring().now()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_STORED) as pack:
        for each in records:
            page = paper_page(each)
            _put(pack, now, f"records/{each.code}.html", page)
            if with_pdf and not pdf.missing():
                _put(pack, now, f"records/{each.code}.pdf", record_pdf(page))
    return JobFile(name=_zip(number), media_type=ZIP_TYPE, content=content.getvalue())


def _packed(here: Here, matrix: Table, numbers: range, file: Callable[[str], bytes]) -> bytes:
    lists = [read(file, _json(number)) for number in numbers]
    records, asked = (joined([_part(each, name) for each in lists]) for name in ("records", "asked"))
    now, content = wiring().now(), io.BytesIO()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as pack:
        is_cut_off = lists[-1].get("after") is not None
        _put(pack, now, "README.txt", _readme(here, len(records.rows), now, is_cut_off=is_cut_off))
        _put(pack, now, "matrix.csv", as_csv(matrix))
        _put(pack, now, "matrix.html", render_template("records/matrix_file.html", table=matrix, here=here, on=now))
        _put(pack, now, "asked.csv", as_csv(asked))
        _put(pack, now, "records.csv", as_csv(records))
        _put(pack, now, "records/record.css", stylesheet())
        _put(pack, now, "record.css", stylesheet())
        for number in numbers:
            with zipfile.ZipFile(io.BytesIO(file(_zip(number)))) as pages:
                for name in pages.namelist():
                    _put(pack, now, name, pages.read(name))
    return content.getvalue()


def _part(listed: dict[str, object], name: str) -> dict[str, object]:
    found = listed[name]
    return found if isinstance(found, dict) else {}


def _json(number: int) -> str:
    return f"records-{number:04}.json"


def _zip(number: int) -> str:
    return f"records-{number:04}.zip"


def _put(pack: zipfile.ZipFile, now: datetime, name: str, content: str | bytes) -> None:
    # The clock of the application, so that the same state makes the same file.
    pack.writestr(zipfile.ZipInfo(name, now.timetuple()[:6]), content, zipfile.ZIP_DEFLATED)


def _readme(here: Here, records: int, now: datetime, *, is_cut_off: bool) -> str:
    about = {"here": here, "records": records, "now": now, "is_cut_off": is_cut_off}
    return render_template("records/readme.txt", **about, most=MOST_RECORDS)


def _records(found: Evidence) -> Table:
    header = ("code", "holder", "programme", "passed", "valid until", "marks", "of", "edition", "rule set")
    rows = tuple(
        (
            shown(each.code),
            each.holder_name,
            each.title,
            f"{each.issued_at:%Y-%m-%d}",
            f"{each.valid_until:%Y-%m-%d}" if each.valid_until else "",
            each.marks,
            each.marks_available,
            each.edition,
            each.rule_set_version,
        )
        for each in found.records
    )
    return Table(name="records", header=header, rows=rows)


def _asked(found: Evidence) -> Table:
    """Which questions were asked, by objective: no answers, and no text of a question that may be asked again."""
    codes = {each.sitting_id: shown(each.code) for each in found.records}
    words = objectives()
    header = ("code", "task", "kind", "level", "objective", "in words", "decisions", "edition", "rule set", "task id")
    rows = tuple(
        (
            codes[each.sitting_id],
            each.position,
            each.kind,
            each.level,
            each.objective_id,
            words.get(each.objective_id, ""),
            each.decisions,
            each.edition,
            each.rule_set_version,
            each.content_hash,
        )
        for each in found.asked
    )
    return Table(name="asked", header=header, rows=rows)
