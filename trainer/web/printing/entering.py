"""Papers that were sat on paper: whose, which variant, what was ticked, checked and handed in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from flask import abort, flash, redirect, render_template, request, url_for
from flask_babel import format_time, gettext
from werkzeug.wrappers import Response

from trainer.domain.errors import Problem
from trainer.persistence.papers.repositories import paper_repositories
from trainer.services.papers.desk import PaperDesk
from trainer.services.papers.records import Candidate, Paper
from trainer.services.papers.states import ENTERED
from trainer.services.papers.variants import DrawnItem, read_back
from trainer.services.papers.watching import WatchingDesk
from trainer.services.sittings.entries import Entry, StaleEntryError
from trainer.services.sittings.on_paper import EnteredMeanwhileError, OnPaper
from trainer.web.asked.forms import field_of
from trainer.web.papers.blueprint import desk
from trainer.web.people.entry import Page
from trainer.web.practice.writing import StoredForm
from trainer.web.present import here
from trainer.web.printing.asking import LAST_VARIANT
from trainer.web.printing.blueprint import blueprint
from trainer.web.printing.reading_paper import CopiedTask, copied, prefix, read_paper
from trainer.web.printing.waiting import entries_desk, first_until, kept_for
from trainer.web.sittings.wired import sitting_desk
from trainer.web.wiring import wiring

PAGE = 100


@blueprint.route("/<paper_id>/on-paper", methods=["GET", "POST"])
def entries(paper_id: str) -> Page:
    """Who sits the paper, whose ticks were entered, and the beginning of another."""
    me, paper = here(), desk(PaperDesk).paper(here(), paper_id)
    if request.method == "GET":
        return _list(paper)
    member_id, variant = request.form.get("member", ""), _variant(request.form.get("variant", ""))
    problems = _problems(paper, member_id, variant)
    if problems or variant is None:
        return _list(paper, problems), 400
    if entries_desk().get(me, paper_id, member_id) is None:
        entries_desk().save(me, Entry(paper_id=paper_id, member_id=member_id, variant=variant))
    return redirect(url_for("printing.enter", paper_id=paper_id, member_id=member_id), code=303)


@blueprint.route("/<paper_id>/on-paper/<member_id>", methods=["GET", "POST"])
def enter(paper_id: str, member_id: str) -> Page:
    """The tasks of somebody's variant with a row for each question; saved as often as somebody likes."""
    paper, entry = _entry(paper_id, member_id)
    drawn = _drawn(paper, entry.variant)
    if request.method == "GET":
        return _form(paper, entry, [copied(each, None, entry.answers) for each in drawn])
    if request.form.get("variant", str(entry.variant)) != str(entry.variant):
        problem = gettext("was begun anew with another variant meanwhile, which stands here now")
        tasks = [copied(each, None, entry.answers) for each in drawn]
        return _form(paper, entry, tasks, problems=[Problem(path=gettext("entry"), problem=problem)]), 409
    sent = read_paper(request.form, drawn)
    try:
        entries_desk().save(here(), replace(entry, revision=_number("revision"), answers=sent))
    except StaleEntryError as error:
        tasks = [copied(each, sent[each.position], {}) for each in drawn]
        return _form(paper, entry, tasks, problems=error.problems), 409
    onward = "printing.check_entry" if request.form.get("do") == "check" else "printing.enter"
    return redirect(url_for(onward, paper_id=paper_id, member_id=member_id), code=303)


@blueprint.route("/<paper_id>/on-paper/<member_id>/check", methods=["GET", "POST"])
def check_entry(paper_id: str, member_id: str) -> Page:
    """What is missing and what cannot be an answer, before it is handed in for good."""
    seen = desk(PaperDesk).paper(here(), paper_id)
    if request.method == "POST" and entries_desk().get(here(), seen.id, member_id) is None:
        return _to_list(paper_id, gettext("Nothing waits here to be handed in. Look below whether it was handed in."))
    paper, entry = _entry(paper_id, member_id)
    tasks = [copied(each, None, entry.answers) for each in _drawn(paper, entry.variant)]
    if request.method == "GET":
        return _check(paper, entry, tasks)
    number = _number("attempt")
    if number >= 0 and number != sitting_desk(OnPaper).following(here(), paper_id, member_id):
        return _to_list(paper_id, _entered())
    incomplete = any(each.open or each.wrong for each in tasks)
    if _number("revision") != entry.revision or (incomplete and request.form.get("stands") != "yes"):
        return _check(paper, entry, tasks, is_refused=True), 400
    return _hand_in(entry, number)


def _hand_in(entry: Entry, number: int) -> Response:
    """What is sent twice, as by a second press while the first is marked, makes one sitting."""
    me, known = here(), number if number >= 0 else None
    try:
        sitting_desk(OnPaper).enter(me, entry.paper_id, entry.member_id, entry.variant, entry.answers, number=known)
    except EnteredMeanwhileError:
        return _to_list(entry.paper_id, _entered())
    entries_desk().drop(me, entry.paper_id, entry.member_id)
    return _to_list(entry.paper_id, gettext("Handed in. It counts as any other sitting."))


def _entered() -> str:
    said = gettext(
        "Nothing was handed in twice: an attempt of this person was handed in or begun meanwhile. Look below."
    )
    return str(said)


def _to_list(paper_id: str, said: str) -> Response:
    flash(said)
    return redirect(url_for("printing.entries", paper_id=paper_id), code=303)


@blueprint.post("/<paper_id>/on-paper/<member_id>/forget")
def drop_entry(paper_id: str, member_id: str) -> Response:
    """Forgets what was entered and not handed in."""
    _entry(paper_id, member_id)
    entries_desk().drop(here(), paper_id, member_id)
    return redirect(url_for("printing.entries", paper_id=paper_id), code=303)


def _entry(paper_id: str, member_id: str) -> tuple[Paper, Entry]:
    paper = desk(PaperDesk).paper(here(), paper_id)
    entry = entries_desk().get(here(), paper_id, member_id)
    if entry is None:
        abort(404)
    return paper, entry


def _drawn(paper: Paper, variant: int) -> list[DrawnItem]:
    """The tasks of a variant as they were printed; none where nobody has printed it."""
    form = StoredForm()
    with wiring().storage.scopes(paper_repositories).reading() as stored:
        items = stored.papers.variant(paper.id, variant)
        kept = [stored.tasks.get(each.content_hash) for each in items]
    return read_back(items, kept, form.read_task)


def _variant(text: str) -> int | None:
    plain = text.strip()
    number = int(plain) if plain.isascii() and plain.isdigit() and len(plain) < 6 else 0
    return number if 1 <= number <= LAST_VARIANT else None


def _problems(paper: Paper, member_id: str, variant: int | None) -> Sequence[Problem]:
    found = []
    why = sitting_desk(OnPaper).why_not(here(), paper.id, member_id)
    if why:
        found.append(Problem(path=gettext("person"), problem=why))
    with wiring().storage.scopes(paper_repositories).reading() as stored:
        is_drawn = variant is not None and bool(stored.papers.variant(paper.id, variant))
    if not is_drawn:
        problem = gettext("is not one that was printed; it stands at the top of every page of the paper")
        found.append(Problem(path=gettext("variant"), problem=problem))
    return found


def _number(field: str) -> int:
    text = request.form.get(field, "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else -1


def _list(paper: Paper, problems: Sequence[Problem] = ()) -> str:
    watched = desk(WatchingDesk).watch(here(), paper.id)
    people: Sequence[Candidate] = watched.candidates
    page = _page_number(len(people))
    shown = people[(page - 1) * PAGE : page * PAGE]
    ids = [each.member_id for each in shown]
    waiting = entries_desk().of_paper(here(), paper.id, ids)
    return render_template(
        "printing/entries.html",
        paper=paper,
        people=people,
        shown=shown,
        page=page,
        has_more=len(people) > page * PAGE,
        sittings=watched.sittings,
        entries=waiting,
        kept_for=kept_for(),
        may_enter=paper.state in ENTERED,
        problems=problems,
        typed={name: request.form.get(name, "") for name in ("member", "variant")},
    )


def _page_number(people: int) -> int:
    text = request.args.get("page", "")
    number = int(text) if text.isascii() and text.isdigit() and len(text) < 6 else 1
    return min(max(number, 1), max(1, -(-people // PAGE)))


def _form(paper: Paper, entry: Entry, tasks: Sequence[CopiedTask], problems: Sequence[Problem] = ()) -> str:
    return render_template(
        "printing/entering.html",
        **_about(paper, entry),
        tasks=tasks,
        problems=problems,
        saved=format_time(entry.saved_at, "HH:mm") if entry.revision > 1 and entry.saved_at else "",
        prefix=prefix,
        field_of=field_of,
    )


def _check(paper: Paper, entry: Entry, tasks: Sequence[CopiedTask], *, is_refused: bool = False) -> str:
    asked = sum(len(each.questions) for each in tasks)
    return render_template(
        "printing/check_entry.html",
        **_about(paper, entry),
        tasks=tasks,
        asked=asked,
        is_refused=is_refused,
        attempt=sitting_desk(OnPaper).following(here(), paper.id, entry.member_id),
    )


def _about(paper: Paper, entry: Entry) -> Mapping[str, object]:
    people = {each.member_id: each for each in desk(WatchingDesk).watch(here(), paper.id).candidates}
    found = people.get(entry.member_id)
    return {
        "paper": paper,
        "entry": entry,
        "until": first_until([entry]),
        "name": found.display_name if found else gettext("no longer in the group"),
    }
