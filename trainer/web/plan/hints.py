"""Hints in practice: which rule and which paper a decision turns on, never which option is right.

Which hints were taken is kept with the page: another device finds them, and a cookie that is cleared does not
make them free.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Rule
from trainer.domain.tasks import Task, TaskKind
from trainer.explain.evidence import Papers
from trainer.explain.grades import bearing, chosen_house
from trainer.services.answering import grade_answer
from trainer.services.notes.reading import notes
from trainer.services.plan.hints import LEAST_MARKS
from trainer.services.practice.tasks import OpenTask
from trainer.web.plan.blueprint import blueprint
from trainer.web.practice.groups import groups_of
from trainer.web.practice.keeping import is_owned
from trainer.web.practice.wired import opened_at, practice, translated_engine, work_done_at, working

HINT = "hint"
"""The field by which the form of a task asks for a hint."""
_RULES_TOLD = 3
_RULES = {each.id: each for each in ALL_RULES}


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What a hint says: rules, titles of papers, and the first step of thinking."""

    rules: tuple[Rule, ...]
    papers: tuple[str, ...]
    step: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Hintable:
    """A decision that may have a hint; ``told`` is None until it was taken."""

    id: str
    question: str
    told: Told | None


def taken(page_id: str) -> tuple[str, ...]:
    """The ids of the decisions of a page whose hints were taken."""
    return work_done_at(page_id).hinted


def take(opened: OpenTask, part_id: str) -> None:
    """Notes that a hint was taken; an id that has none is ignored, and so is whoever did not begin the task."""
    if is_owned(opened) and part_id in _weights(opened) and not opened.attempts:
        working().take_hint(opened.page.id, part_id)


@blueprint.app_template_global("may_have_hints")
def may_have_hints(page_id: str) -> bool:
    """False once an answer was handed in, for then everything is told.

    False also for others who have the address: a hint costs whoever began the task.
    """
    opened = opened_at(page_id)
    return opened is not None and not opened.attempts and is_owned(opened)


@blueprint.app_template_global("has_hints_taken")
def has_hints_taken(page_id: str) -> bool:
    """True when a page tells more of its hints than what they are about."""
    return bool(taken(page_id))


@blueprint.app_template_global("hints_of")
def hints_of(page_id: str) -> Sequence[Hintable]:
    """What may have a hint on a page."""
    opened = opened_at(page_id)
    if opened is None or not may_have_hints(page_id):
        return ()
    asked = _asked(opened)
    mine = taken(page_id)
    return [
        Hintable(id=each, question=asked[each], told=_told(opened, each) if each in mine else None)
        for each in _weights(opened)
    ]


def _asked(opened: OpenTask) -> dict[str, str]:
    """What is asked, by id; decisions with the name of their place, for several ask the same."""
    if opened.task.asks:
        return {each.id: each.question for each in opened.task.asks}
    groups = groups_of(opened.task, opened.weights, translated_engine().gettext)
    return {each.id: _placed(group.name, each.question) for group in groups for each in group.decisions}


def _placed(place: str, question: str) -> str:
    return question if place.casefold() in question.casefold() else f"{place}: {question}"


def _weights(opened: OpenTask) -> list[str]:
    """The ids of what may have a hint: decisions, and a short question."""
    task = opened.task
    if task.asks and task.kind is not TaskKind.QUESTION:
        return []
    ids = [each.id for each in task.asks] or [each.id for each in task.decisions]
    return [each for each, marks in zip(ids, opened.weights, strict=True) if marks >= LEAST_MARKS]


def _told(opened: OpenTask, part_id: str) -> Told:
    task = opened.task
    if task.asks:
        ask = next(each for each in task.asks if each.id == part_id)
        rules = tuple(_RULES[each] for each in task.key.asks[part_id].rules[:1])
        return Told(rules=rules, papers=tuple(each.title for each in task.pack), step=_step(ask.objectives))
    decision = next(each for each in task.decisions if each.id == part_id)
    rules, papers = _evidence(task, opened.task_id, part_id)
    # The rules of what the decision is there to teach come first; more than a few would hide them.
    first = set(decision.objectives[:1])
    taught = sorted(rules, key=lambda each: not first & set(each.objectives))
    return Told(rules=tuple(taught[:_RULES_TOLD]), papers=papers, step=_step(decision.objectives))


def _evidence(task: Task, task_id: str, part_id: str) -> tuple[tuple[Rule, ...], tuple[str, ...]]:
    """The rules that speak of a decision in a house that complies, and the papers on which they rest."""
    solution = practice().solutions.of(task, task_id)
    grade = grade_answer(task, task.key.intended, catalogue=practice().catalogue, solution=solution)
    each = next(found for found in grade.decisions if found.id == part_id)
    findings = bearing(grade, each)
    told = Papers(task, chosen_house(task, grade))
    titles = [said.title for finding in findings for said in told.told(finding) if said.title]
    return tuple(dict.fromkeys(finding.rule for finding in findings)), tuple(dict.fromkeys(titles))


def _step(objective_ids: Sequence[str]) -> str:
    return next((notes()[each].steps[0] for each in objective_ids if each in notes()), "")
