"""Taking a task: what is offered, or what was chosen; one, or a set of several in a row."""

from __future__ import annotations

from flask import abort, redirect, request, url_for
from werkzeug.wrappers import Response

from trainer.domain.errors import UnknownNameError
from trainer.domain.tasks import TaskKind
from trainer.services.objectives import objectives
from trainer.services.plan.mixing import LENGTHS, family_for
from trainer.services.plan.plan import Offer
from trainer.services.practice.drawing import ImpossibleDrawError, reachable
from trainer.services.scenarios import kind_named, scenarios
from trainer.web.learner import learner_with_record
from trainer.web.levels import LEVELS
from trainer.web.plan.blueprint import blueprint
from trainer.web.plan.sets import RunningSet, keep, leave, one_more, running_set
from trainer.web.plan.wired import plan_now
from trainer.web.practice.wired import practice
from trainer.web.wiring import wiring


@blueprint.post("/plan/take")
def take() -> Response:
    """Makes the task that was asked for, or the offered one, and goes to its page."""
    learner = learner_with_record()
    length = _length(request.form.get("length"))
    kind, objective = _kind(request.form.get("kind")), _objective(request.form.get("objective"))
    level = _level(request.form.get("level")) or practice().offered_level(learner.id)
    leave()
    if kind is None and objective is None and length == 1:
        return _offered(learner.id, level)
    seed = wiring().new_seed()
    wanted = objective or plan_now().first.objective_id
    if length > 1:
        running = RunningSet(
            objective=wanted, kind=(kind or TaskKind.QUESTION).value, level=level, length=length, seed=seed % 1_000_000
        )
        return _next_of(running, learner.id)
    return _to(_made(objective, kind or TaskKind.QUESTION, level, learner.id))


@blueprint.post("/plan/next")
def take_next() -> Response:
    """The next task of the set; after the last one to the progress."""
    running = running_set()
    if running is None or running.is_over:
        leave()
        return redirect(url_for("progress.show"), code=303)
    return _next_of(running, learner_with_record().id)


@blueprint.post("/plan/leave")
def leave_set() -> Response:
    """Ends the set before its last task."""
    leave()
    return redirect(url_for("practice.start"), code=303)


def _offered(learner_id: str, level: int) -> Response:
    offer = plan_now().first
    if _as_house(offer, level):
        return _to(_made(offer.objective_id, TaskKind.CHOOSE, level, learner_id))
    return _to(_made(offer.objective_id, TaskKind.QUESTION, level, learner_id))


def _as_house(offer: Offer, level: int) -> bool:
    """True when an objective comes as a whole house this time: a short question and a house take turns."""
    card = plan_now().cards.get(offer.objective_id)
    if card is None or card.reviews % 2 == 0:
        return False
    return offer.objective_id in reachable(TaskKind.CHOOSE, level, scenarios())


def _next_of(running: RunningSet, learner_id: str) -> Response:
    kind, wanted = kind_named(running.kind), running.following
    family = ""
    if kind is TaskKind.QUESTION:
        family = family_for(wanted, wiring().new_seed(), running.families)
        page_id = practice().begin(running.level, learner_id, kind=kind, family=family)
    else:
        page_id = _of_set(wanted, kind, running.level, learner_id)
    keep(one_more(running, family))
    return _to(page_id)


def _of_set(wanted: str, kind: TaskKind, level: int, learner_id: str) -> str:
    """A task of the kind; a short question where the look-alike is never met by that kind and level."""
    try:
        return practice().begin(level, learner_id, kind=kind, objectives=(wanted,))
    except ImpossibleDrawError:
        return practice().begin(level, learner_id, kind=TaskKind.QUESTION, objectives=(wanted,))


def _made(objective: str | None, kind: TaskKind, level: int, learner_id: str) -> str:
    wanted = (objective,) if objective else ()
    return practice().begin(level, learner_id, kind=kind, objectives=wanted)


def _to(page_id: str) -> Response:
    return redirect(url_for("practice.task", page_id=page_id), code=303)


def _kind(text: str | None) -> TaskKind | None:
    try:
        return kind_named(text) if text else None
    except UnknownNameError:
        abort(404)


def _objective(text: str | None) -> str | None:
    if text and text not in objectives():
        abort(404)
    return text or None


def _level(text: str | None) -> int | None:
    numbers = {str(each.number): each.number for each in LEVELS}
    if text and text not in numbers:
        abort(404)
    return numbers[text] if text else None


def _length(text: str | None) -> int:
    lengths = {str(each): each for each in LENGTHS}
    if text and text not in lengths:
        abort(404)
    return lengths[text] if text else 1
