"""The editor of a blueprint, and the preview of any variant with its key."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from flask import abort, flash, make_response, redirect, render_template, request, url_for
from flask_babel import gettext, ngettext
from werkzeug.wrappers import Response

from trainer.domain.errors import TrainerError
from trainer.domain.questions.families import ALL_FAMILIES
from trainer.services.objectives import objectives
from trainer.services.papers.blueprint import Blueprint, read_blueprint
from trainer.services.papers.setting import SettingDesk
from trainer.services.papers.variants import TRIES_AT_ONCE
from trainer.services.papers.words import PaperState
from trainer.services.scenarios import scenarios
from trainer.web.levels import KINDS, LEVELS
from trainer.web.papers.blueprint import blueprint, desk
from trainer.web.papers.keys import shown_item
from trainer.web.papers.look_form import address_of_item
from trainer.web.papers.slots import Filled, SlotFields, blueprint_of, changed, filled_from, read, told
from trainer.web.people.entry import Page
from trainer.web.present import here

_SAVE = "save"
_MOST_VARIANT = 9999


@blueprint.route("/<paper_id>/tasks", methods=["GET", "POST"])
def build(paper_id: str) -> Page:
    """What the paper asks: one block for each slot."""
    paper = desk(SettingDesk).paper(here(), paper_id)
    if request.method == "GET":
        filled = filled_from(read_blueprint(paper.blueprint_json))
        start = replace(filled, slots=filled.slots or (SlotFields(),))
        return _editor(paper_id, start, paper.revision)
    filled = read(request.form)
    seen = request.form.get("revision", "")
    action = request.form.get("do", _SAVE)
    if action != _SAVE:
        return _editor(paper_id, changed(filled, action), int(seen) if seen.isdigit() else 0)
    return _save(paper_id, filled, int(seen) if seen.isdigit() else 0, paper.revision)


def _save(paper_id: str, filled: Filled, seen: int, current: int) -> Page:
    wanted, shown = blueprint_of(filled)
    if any(each.problems for each in shown.slots):
        return _editor(paper_id, shown, seen, 400)
    try:
        paper = desk(SettingDesk).set_blueprint(here(), paper_id, seen, wanted)
    except TrainerError as error:
        # Sent once more, a form that came second goes in place of what is stored.
        return _editor(paper_id, told(shown, error.problems), current, 400 if seen == current else 409)
    tried = desk(SettingDesk).trial(here(), paper_id)
    if tried.problems:
        above = gettext("Saved. As it stands it cannot be drawn: change what is named below.")
        return _editor(paper_id, told(replace(shown, above=(above,)), tried.problems), paper.revision, 400)
    tasks = ngettext("%(num)s task", "%(num)s tasks", wanted.items)
    marks = ngettext("%(num)s mark", "%(num)s marks", wanted.marks)
    flash(gettext("Saved: %(tasks)s, %(marks)s.", tasks=tasks, marks=marks))
    if tried.rare:
        flash(
            gettext(
                "Part %(numbers)s asks for something rare: not met in the first %(tries)s tasks. Once the paper is "
                "locked the job runner looks further, and the page of the paper says if there is none. Fewer "
                "objectives at a time are met sooner.",
                numbers=", ".join(map(str, tried.rare)),
                tries=TRIES_AT_ONCE,
            )
        )
    return redirect(url_for("papers.show", paper_id=paper_id), code=303)


def _editor(paper_id: str, filled: Filled, revision: int, status: int = 200) -> Page:
    paper = desk(SettingDesk).paper(here(), paper_id)
    if paper.state is not PaperState.DRAFT:
        return redirect(url_for("papers.show", paper_id=paper_id), code=303)
    so_far, _ = blueprint_of(filled)
    page = render_template(
        "papers/build.html",
        paper=paper,
        revision=revision,
        filled=filled,
        so_far=_countable(so_far),
        kinds=KINDS,
        levels=LEVELS,
        objectives=objectives(),
        archetypes=sorted(scenarios().archetypes.values(), key=lambda each: each.label),
        families=sorted(ALL_FAMILIES, key=lambda each: each.title),
    )
    return page, status


def _countable(so_far: Blueprint) -> Blueprint:
    """The slots whose sums can be told while others are still being filled in."""
    levels = {each.number for each in LEVELS}
    return replace(so_far, slots=tuple(each for each in so_far.slots if each.level in levels))


@blueprint.get("/<paper_id>/variants/<int:variant>")
def preview(paper_id: str, variant: int) -> Page | Response:
    """A variant with its key: for staff only, and for no search engine."""
    if not 1 <= variant <= _MOST_VARIANT:
        abort(404)
    me = here()
    view = desk(SettingDesk).view(me, paper_id)
    drawn = desk(SettingDesk).draw(me, paper_id, variant)
    page = render_template(
        "papers/preview.html",
        view=view,
        paper=view.paper,
        variant=variant,
        items=[shown_item(each) for each in drawn],
        misconceptions=_misconceptions(),
        looks={each.position: address_of_item(each, view.blueprint.slots[each.slot - 1]) for each in drawn},
    )
    answer = make_response(page)
    answer.headers["X-Robots-Tag"] = "noindex, nofollow"
    return answer


@blueprint.post("/<paper_id>/variants/<int:variant>/<int:position>")
def mark_seed(paper_id: str, variant: int, position: int) -> Response:
    """Pins a task for everybody, or bars it."""
    pinned = request.form.get("do") == "pin"
    desk(SettingDesk).mark_seed(here(), paper_id, variant, position, pinned=pinned)
    flash(gettext("Everybody gets this task now.") if pinned else gettext("Nobody gets this task now."))
    return redirect(url_for("papers.preview", paper_id=paper_id, variant=variant), code=303)


@blueprint.post("/<paper_id>/seeds")
def unmark_seeds(paper_id: str) -> Response:
    """Takes back every pin and bar."""
    desk(SettingDesk).unmark_seeds(here(), paper_id)
    return redirect(url_for("papers.show", paper_id=paper_id), code=303)


def _misconceptions() -> Mapping[str, object]:
    return scenarios().misconceptions
