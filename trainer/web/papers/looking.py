"""Any task by itself, for those who set work: as a learner sees it, with its key and what makes it hard."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from flask import abort, flash, make_response, redirect, render_template, request, url_for
from flask_babel import gettext
from werkzeug.wrappers import Response

from trainer.domain.errors import Problem, TrainerError
from trainer.domain.questions.families import ALL_FAMILIES
from trainer.services.objectives import objectives
from trainer.services.papers.looking import Seen, look
from trainer.services.papers.seeds import SeedDesk
from trainer.services.papers.variants import DrawnItem
from trainer.services.papers.words import SeedMark
from trainer.services.people.words import Role
from trainer.services.scenarios import scenarios
from trainer.services.sittings.records import NOTHING_SAID
from trainer.web.asked.figures import figures_of
from trainer.web.asked.forms import field_of
from trainer.web.levels import KINDS, LEVELS
from trainer.web.papers.blueprint import blueprint, desk
from trainer.web.papers.keys import shown_item, wrong_options
from trainer.web.papers.look_form import Filled, address_of, filled_of, read, wanted_of, whole
from trainer.web.people.entry import Page
from trainer.web.practice.drawings import open_drawing
from trainer.web.practice.groups import groups_of, places_of
from trainer.web.practice.wired import translated_engine
from trainer.web.present import here
from trainer.web.sittings.forms import filled_of as nothing_filled
from trainer.web.sittings.forms import parts_of
from trainer.web.wiring import wiring

_PAGE = 50
_NEXT = "next"


@blueprint.get("/look")
def look_at() -> Page | Response:
    """The form, and the task that it asks for."""
    filled = read(request.args)
    if "kind" not in request.args:
        return _page(filled, None)
    if request.args.get("do") == _NEXT or not filled.seed:
        drawn = replace(filled, seed=str(wiring().new_seed()), version="")
        return redirect(address_of(drawn), code=303)
    try:
        return _page(filled, look(wanted_of(filled)))
    except TrainerError as error:
        return _page(filled, None, error.problems)


@blueprint.post("/look")
def mark_look() -> Page | Response:
    """Pins the task or bars it, in the organisation or in a draft."""
    filled = read(request.form)
    shown = look(wanted_of(filled))
    if request.form.get("do") == "put":
        return _put(filled, shown)
    mark = SeedMark.PINNED if request.form.get("do") == SeedMark.PINNED.value else SeedMark.BARRED
    try:
        desk(SeedDesk).mark(here(), shown, mark)
    except TrainerError as error:
        return _page(filled, shown, error.problems)
    said = gettext("In the list of your organisation now.")
    flash(said if mark is SeedMark.PINNED else gettext("No paper of your organisation draws this task from now on."))
    return redirect(address_of(filled), code=303)


def _put(filled: Filled, shown: Seen) -> Page | Response:
    if not _sets_papers():
        # Others look and mark; papers are of those who set them.
        abort(403)
    paper_id, _, slot = request.form.get("place", "").partition(":")
    marks = whole(request.form.get("marks", ""))
    try:
        paper = desk(SeedDesk).give(here(), shown, paper_id, whole(slot), marks)
    except TrainerError as error:
        return _page(filled, shown, error.problems)
    flash(gettext("Everybody gets this task in “%(title)s” now.", title=paper.title))
    return redirect(url_for("papers.build", paper_id=paper.id), code=303)


@blueprint.get("/look/list")
def seeds() -> Page:
    """What the organisation pinned and barred, fifty to a page."""
    marked = desk(SeedDesk).marked(here())
    page = max(1, whole(request.args.get("page", "1")))
    first = (page - 1) * _PAGE
    return render_template(
        "papers/seeds.html",
        marked=marked[first : first + _PAGE],
        count=len(marked),
        page=page,
        is_more=len(marked) > first + _PAGE,
        words=_place_names(),
        sets_papers=_sets_papers(),
    )


@blueprint.get("/look/list/<name>")
def kept_task(name: str) -> Page | Response:
    """A marked task as it was when it was marked, whatever its seed gives today."""
    shown = desk(SeedDesk).kept(here(), name)
    return _page(filled_of(shown.wanted), shown, is_kept=True)


@blueprint.post("/look/list/<name>")
def free_seed(name: str) -> Response:
    """Takes a task out of the list."""
    desk(SeedDesk).free(here(), name)
    flash(gettext("Taken out of the list. Papers that are locked already stay as they are."))
    return redirect(url_for("papers.seeds"), code=303)


def _page(
    filled: Filled, shown: Seen | None, problems: Sequence[Problem] = (), *, is_kept: bool = False
) -> tuple[str, int] | Response:
    me = here()
    told = {} if shown is None else _told(shown)
    page = render_template(
        "papers/look.html",
        filled=filled,
        problems=problems,
        kinds=KINDS,
        levels=LEVELS,
        objectives=objectives(),
        archetypes=sorted(scenarios().archetypes.values(), key=lambda each: each.label),
        families=sorted(ALL_FAMILIES, key=lambda each: each.title),
        shown=shown,
        is_kept=is_kept,
        mark=desk(SeedDesk).mark_of(me, shown) if shown else None,
        drafts=desk(SeedDesk).drafts(me) if shown and _sets_papers() else (),
        sets_papers=_sets_papers(),
        misconceptions=scenarios().misconceptions,
        **told,
    )
    answer = make_response(page, 400 if problems else 200)
    answer.headers["X-Robots-Tag"] = "noindex, nofollow"
    return answer


def _told(shown: Seen) -> dict[str, object]:
    """The task as a learner sees it, and its key."""
    task, engine = shown.task, translated_engine()
    item = shown_item(DrawnItem(position=1, slot=1, seed=task.seed, marks=0, task=task))
    told: dict[str, object] = {"item": item, "task": task, "filled_by": nothing_filled(NOTHING_SAID)}
    if task.asks:
        return {
            **told,
            "figures": figures_of(task, engine),
            "parts": parts_of(task, NOTHING_SAID),
            "field_of": field_of,
        }
    return {
        **told,
        "wrong": wrong_options(task),
        "diagram": open_drawing(task, {}, engine),
        "places": places_of(task.decisions),
        "groups": groups_of(task, [each.marks for each in item.decisions], engine.gettext),
    }


def _sets_papers() -> bool:
    return here().is_any(Role.LECTURER, Role.ADMINISTRATOR)


def _place_names() -> dict[str, str]:
    """Premises and families by id, in words."""
    names = {each.id: each.label for each in scenarios().archetypes.values()}
    return {**names, **{each.id: each.title for each in ALL_FAMILIES}}
