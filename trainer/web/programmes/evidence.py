"""The evidence pack: a ZIP of what the firm can show, with a page that says what it proves and what it does not."""

from __future__ import annotations

import io
import zipfile
from datetime import datetime

from flask import render_template

from trainer.services.objectives import objectives
from trainer.services.papers.tables import Table
from trainer.services.people.here import Here
from trainer.services.programmes.codes import shown
from trainer.services.programmes.firm import MOST_RECORDS, Evidence, FirmDesk
from trainer.services.programmes.matrix import MatrixDesk
from trainer.services.programmes.records import Filter, TrainingRecord
from trainer.web.programmes.files import matrix_table
from trainer.web.programmes.wired import programmes
from trainer.web.records.paper import paper_page, pdf_of, stylesheet
from trainer.web.wiring import wiring

_MOST_PDFS = 20
"""One takes about a third of a second; beyond that the pages are printed from a browser."""


def evidence_pack(here: Here, chosen: Filter) -> bytes:
    """The pack of a firm, narrowed as its matrix is."""
    from trainer.web.papers.exports import as_csv  # noqa: PLC0415 - its library takes a while to load

    found = programmes(FirmDesk).evidence(here, chosen)
    matrix = matrix_table(*programmes(MatrixDesk).whole(here, chosen))
    now, content = wiring().now(), io.BytesIO()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as pack:
        _put(pack, now, "README.txt", _readme(here, found, now))
        _put(pack, now, "matrix.csv", as_csv(matrix))
        _put(pack, now, "matrix.html", render_template("records/matrix_file.html", table=matrix, here=here, on=now))
        _put(pack, now, "asked.csv", as_csv(_asked(found)))
        _put(pack, now, "records.csv", as_csv(_records(found)))
        _put(pack, now, "records/record.css", stylesheet())
        _put(pack, now, "record.css", stylesheet())
        for each in found.records:
            _put_record(pack, now, each, with_pdf=len(found.records) <= _MOST_PDFS)
    return content.getvalue()


def _put_record(pack: zipfile.ZipFile, now: datetime, record: TrainingRecord, *, with_pdf: bool) -> None:
    page = paper_page(record)
    _put(pack, now, f"records/{record.code}.html", page)
    pdf = pdf_of(page) if with_pdf else None
    if pdf is not None:
        _put(pack, now, f"records/{record.code}.pdf", pdf)


def _put(pack: zipfile.ZipFile, now: datetime, name: str, content: str | bytes) -> None:
    # The clock of the application, so that the same state makes the same file.
    pack.writestr(zipfile.ZipInfo(name, now.timetuple()[:6]), content, zipfile.ZIP_DEFLATED)


def _readme(here: Here, found: Evidence, now: datetime) -> str:
    return render_template("records/readme.txt", here=here, found=found, now=now, most=MOST_RECORDS)


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
