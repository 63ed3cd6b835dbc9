"""The firm as a whole: people against objectives, gaps, what an edition changed, files to take away."""

from __future__ import annotations

from flask import Response, abort, render_template, request

from trainer.domain.vocabulary import DEFAULT_EDITION, Edition
from trainer.services.objectives import objectives
from trainer.services.papers.tables import Table
from trainer.services.programmes.changes import changes_between, known_edition
from trainer.services.programmes.firm import PAGE, FirmDesk
from trainer.services.programmes.matrix import MatrixDesk
from trainer.services.programmes.words import Currency
from trainer.web.people.entry import Page
from trainer.web.present import here
from trainer.web.programmes.blueprint import blueprint
from trainer.web.programmes.evidence import evidence_pack
from trainer.web.programmes.files import matrix_table
from trainer.web.programmes.wired import after_name, chosen, following, programmes


@blueprint.get("/programmes/matrix")
def matrix() -> Page:
    """People by name against the objectives that are wanted, fifty to a page."""
    narrowed = chosen()
    found = programmes(MatrixDesk).page(here(), narrowed, after_name())
    rows = found.rows[:PAGE]
    last = rows[-1].member if len(found.rows) > PAGE else None
    return render_template(
        "programmes/matrix.html",
        found=found,
        rows=rows,
        following=following(last.sort_name, last.id) if last else None,
        narrowed=narrowed,
        objectives=objectives(),
        currencies=[each for each in Currency if each is not Currency.NOT_REQUIRED],
    )


@blueprint.get("/programmes/gaps")
def gaps() -> Page:
    """Where people are overdue or were never assessed, by programme and role."""
    found, work = programmes(MatrixDesk).gaps(here())
    return render_template("programmes/gaps.html", gaps=found, work=work, objectives=objectives())


@blueprint.get("/programmes/changes")
def changes() -> Page:
    """What differs between two editions, and who was last assessed under the earlier one."""
    editions = list(Edition)
    earlier = _edition("earlier", editions[max(0, editions.index(DEFAULT_EDITION) - 1)])
    later = _edition("later", DEFAULT_EDITION)
    between = changes_between(earlier, later)
    under = programmes(FirmDesk).assessed_under(
        here(), between.comparison.earlier, frozenset(each.objective_id for each in between.touched), after_name()
    )
    lines = under.lines[:PAGE]
    last = lines[-1] if len(under.lines) > PAGE else None
    return render_template(
        "programmes/changes.html",
        between=between,
        comparison=between.comparison,
        editions=editions,
        under=under,
        lines=lines,
        following=following(last.member.sort_name, last.assignment.id) if last else None,
    )


@blueprint.get("/programmes/matrix.csv")
def matrix_csv() -> Response:
    """The matrix as a table for other programs."""
    from trainer.web.papers.exports import CSV_TYPE, as_csv  # noqa: PLC0415 - its library takes a while to load

    return _file(as_csv(_table()), CSV_TYPE, "matrix.csv")


@blueprint.get("/programmes/matrix.xlsx")
def matrix_xlsx() -> Response:
    """The same as a workbook."""
    from trainer.web.papers.exports import XLSX_TYPE, as_xlsx  # noqa: PLC0415 - its library takes a while to load

    return _file(as_xlsx([_table()]), XLSX_TYPE, "matrix.xlsx")


@blueprint.get("/programmes/evidence.zip")
def evidence() -> Response:
    """Matrix, records, what was asked and under which edition, and what all that proves."""
    content = evidence_pack(here(), chosen())
    return _file(content, "application/zip", "evidence.zip")


def _table() -> Table:
    me = here()
    programmes(FirmDesk).note_export(me, "matrix")
    return matrix_table(*programmes(MatrixDesk).whole(me, chosen()))


def _file(content: bytes, kind: str, name: str) -> Response:
    headers = {"Content-Disposition": f'attachment; filename="{name}"', "Cache-Control": "private, no-store"}
    return Response(content, content_type=kind, headers=headers)


def _edition(name: str, usual: Edition) -> Edition:
    text = request.args.get(name)
    if text is None:
        return usual
    found = known_edition(text)
    if found is None:
        abort(404)
    return found
