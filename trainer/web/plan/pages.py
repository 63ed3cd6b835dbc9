"""The plan and the record as pages; what other pages show of them."""

from __future__ import annotations

from collections.abc import Sequence

from flask import abort, render_template, request
from flask_babel import LazyString, lazy_gettext

from trainer.domain.questions.registry import family_of
from trainer.services.objectives import objectives
from trainer.services.plan.mixing import LENGTHS, look_alikes
from trainer.services.plan.storage import Done, OpenPage
from trainer.services.plan.words import Why
from trainer.services.scenarios import scenarios
from trainer.web.levels import KINDS
from trainer.web.notes.subjects import SUBJECTS
from trainer.web.plan.blueprint import blueprint
from trainer.web.plan.findings import laid_out
from trainer.web.plan.sets import running_set
from trainer.web.plan.wired import learner_id, plan_now, planning

_RECORD_SHOWN = 25
_NEW_SHOWN = 3

WHY: dict[Why, LazyString] = {
    Why.MISSED: lazy_gettext("Missed the last time."),
    Why.DUE: lazy_gettext("Due: without practice it fades."),
    Why.NEW: lazy_gettext("New to you."),
    Why.WEAK: lazy_gettext("Known, and the least secure of what is."),
}


@blueprint.get("/plan")
def show() -> str:
    """What is due and why, what is new, and when the next is due."""
    plan = plan_now()
    fresh = [each for each in plan.offers if each.why is Why.NEW][:_NEW_SHOWN]
    missed = [each for each in plan.offers if each.why is Why.MISSED and not each.is_due]
    return render_template("plan/page.html", plan=plan, fresh=fresh, missed=missed, objectives=objectives(), why=WHY)


@blueprint.get("/plan/record")
def history() -> str:
    """Everything that was handed in, a page at a time, each with its explanations."""
    page = request.args.get("page", "1")
    if not page.isascii() or not page.isdigit() or int(page[:6]) < 1:
        abort(404)
    learner = learner_id()
    done, count = planning().record(learner, page=int(page[:6]), size=_RECORD_SHOWN) if learner else ((), 0)
    pages = max(1, -(-count // _RECORD_SHOWN))
    if int(page[:6]) > pages:
        abort(404)
    return render_template("plan/record.html", done=done, count=count, page=int(page[:6]), pages=pages)


@blueprint.get("/plan/shortcuts")
def shortcuts() -> str:
    """What the keyboard does."""
    return render_template("plan/shortcuts.html")


@blueprint.app_template_global("title_of_task")
def title_of_task(task: Done | OpenPage) -> str:
    """What a stored task is called, by its premises or its family of questions."""
    archetype = scenarios().archetypes.get(task.archetype)
    if archetype is not None:
        return archetype.label
    try:
        return family_of(task.archetype).title
    except KeyError:
        return task.archetype


@blueprint.app_template_global("kind_title")
def kind_title(kind: str) -> LazyString | str:
    """What a learner does in tasks of a kind."""
    return next((each.title for each in KINDS if each.name == kind), kind)


@blueprint.app_template_global("open_tasks")
def open_tasks() -> Sequence[OpenPage]:
    """Tasks of this learner that wait for an answer."""
    return planning().open_pages(learner_id())


blueprint.add_app_template_global(running_set, "running_set")
blueprint.add_app_template_global(plan_now, "plan_now")
blueprint.add_app_template_global(look_alikes, "look_alikes")
blueprint.add_app_template_global(laid_out, "findings_laid_out")
blueprint.add_app_template_global(lambda: SUBJECTS, "subjects_of_objectives")
blueprint.add_app_template_global(objectives, "all_objectives")
blueprint.add_app_template_global(lambda: LENGTHS, "lengths_of_sets")
blueprint.add_app_template_global(lambda: WHY, "reasons_of_offers")
