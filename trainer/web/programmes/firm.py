"""The firm as a whole: people against objectives, gaps, what an edition changed, files to take away."""

from __future__ import annotations

from flask import abort, render_template, request
from werkzeug.wrappers import Response

from trainer.domain.vocabulary import DEFAULT_EDITION, Edition
from trainer.services.jobs.asking import Subject
from trainer.services.objectives import objectives
from trainer.services.people.here import Here
from trainer.services.programmes.changes import changes_between, known_edition
from trainer.services.programmes.firm import PAGE, FirmDesk
from trainer.services.programmes.matrix import MatrixDesk
from trainer.services.programmes.records import Filter
from trainer.services.programmes.words import Currency
from trainer.web.files.asking import ask_file, handed_out
from trainer.web.files.kinds import EVIDENCE, MATRIX, SMALL
from trainer.web.files.tables import written
from trainer.web.people.entry import Page
from trainer.web.present import here
from trainer.web.programmes.blueprint import blueprint
from trainer.web.programmes.evidence import MOST_PDFS, parts_of_pack
from trainer.web.programmes.files import matrix_table
from trainer.web.programmes.making import matrix_parts, payload_of
from trainer.web.programmes.wired import after_name, chosen, following, programmes

_FORMS = {"matrix.csv": "csv", "matrix.xlsx": "xlsx"}


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
        most_at_once=SMALL,
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


@blueprint.post("/programmes/take/<name>")
def take(name: str) -> Response:
    """The matrix as table for other programs: of few people at once, of many by the job runner."""
    form, me, narrowed = _FORMS.get(name), here(), _narrowed()
    if form is None:
        abort(404)
    desk = programmes(MatrixDesk)
    people = desk.people(me, narrowed)
    if people > SMALL:
        payload = payload_of(narrowed, form=form)
        return ask_file(MATRIX, payload, matrix_parts(people), _about(me, "matrix"))
    programmes(FirmDesk).note_export(me, "matrix")
    return handed_out(written("matrix", form, [matrix_table(*desk.whole(me, narrowed))]))


@blueprint.post("/programmes/evidence")
def evidence() -> Response:
    """Asks for matrix, records, what was asked and under which edition, and what all that proves."""
    me, narrowed = here(), _narrowed()
    records = programmes(FirmDesk).in_force(me, narrowed)
    rows, pages = parts_of_pack(programmes(MatrixDesk).people(me, narrowed), records)
    payload = payload_of(narrowed, rows=rows, with_pdf=int(records <= MOST_PDFS))
    return ask_file(EVIDENCE, payload, rows + pages, _about(me, "evidence"))


def _narrowed() -> Filter:
    return chosen(request.form)


def _about(me: Here, what: str) -> Subject:
    return Subject(verb=f"programme.{what}", kind="organisation", id=me.organisation_id)


def _edition(name: str, usual: Edition) -> Edition:
    text = request.args.get(name)
    if text is None:
        return usual
    found = known_edition(text)
    if found is None:
        abort(404)
    return found
