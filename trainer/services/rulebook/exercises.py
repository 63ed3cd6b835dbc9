"""Where each rule can be practised: read from the index, and drawn afresh for whoever practises."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from trainer.domain.answers.decisions import Option, apply, apply_edits
from trainer.domain.findings import Verdict
from trainer.domain.generator.data import TrapSpec
from trainer.domain.generator.request import TaskRequest
from trainer.domain.installation import Installation
from trainer.domain.limits import limits_for
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Rule, subjects
from trainer.domain.tasks import Task, TaskKind
from trainer.domain.vocabulary import Outcome
from trainer.resources import folder
from trainer.services.rulebook.pages import PLACE

INDEX = "index.json"
_AT_STAKE = frozenset({Outcome.DOES_NOT_COMPLY, Outcome.ADVICE})
_MOST_DRAWS = 24
_PLACES_TRIED = 3
_COMMON = 0.5

TaskMaker = Callable[[TaskRequest], Task]
"""Makes the task that is asked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Kind of task, premises and level that turn on a rule: in how many of those tried, and one such seed."""

    kind: TaskKind
    archetype: str
    level: int
    tasks: int
    tried: int
    seed: int

    @property
    def is_common(self) -> bool:
        """True when at least half of the tasks turn on the rule."""
        return self.tasks >= _COMMON * self.tried


def _rank(place: Place) -> int:
    """Choices first, then inspections, then readings."""
    return list(TaskKind).index(place.kind)


@dataclass(frozen=True, slots=True, kw_only=True)
class Exercises:
    """What the index knows of one rule.

    ``decisions`` are kinds of decision, such as ``type``. ``judged`` of all ``tried`` tasks give the
    rule something to judge, whether or not a decision turns on it.
    """

    places: tuple[Place, ...]
    decisions: tuple[str, ...]
    judged: int
    tried: int
    reads: tuple[str, ...]

    @property
    def best(self) -> tuple[Place, ...]:
        """The places in which most tasks turn on the rule by level, then the others, the more common first."""
        common = sorted((each for each in self.places if each.is_common), key=lambda each: (_rank(each), each.level))
        rare = sorted((each for each in self.places if not each.is_common), key=lambda each: -each.tasks)
        return (*common, *rare)


@cache
def index() -> Mapping[str, Any]:
    """The index as it is stored."""
    text = (folder("scenarios") / PLACE / INDEX).read_text("utf-8")
    return dict(json.loads(text))


@cache
def exercises_of(rule_id: str) -> Exercises:
    """What the index knows of a rule; nothing of a rule that is not in it."""
    entry = index()["rules"].get(rule_id, {})
    return Exercises(
        places=tuple(
            Place(kind=TaskKind(kind), archetype=archetype, level=level, tasks=tasks, tried=tried, seed=seed)
            for kind, archetype, level, tasks, tried, seed in entry.get("places", ())
        ),
        decisions=tuple(entry.get("decisions", ())),
        judged=entry.get("judged", 0),
        tried=index()["tasks"],
        reads=tuple(entry.get("reads", ())),
    )


def traps_on(rule_id: str, traps: Mapping[str, TrapSpec]) -> list[TrapSpec]:
    """The traps that break a rule by name; where there is none, those in which it fails along with another."""
    named = [each for each in traps.values() if rule_id in each.rules]
    return named or [each for each in traps.values() if rule_id in each.also]


def wrong_options(task: Task) -> Iterator[tuple[str, Option, Installation]]:
    """Each option but the intended one, with its decision's kind, put into the intended proposal."""
    house = apply(task.house, task.decisions, task.key.intended)
    for decision in task.decisions:
        for option in decision.options:
            if option.id != task.key.intended[decision.id]:
                yield decision.id.rpartition(".")[2], option, apply_edits(house, list(option.edits))


def turns_on(task: Task, rule: Rule) -> bool:
    """True when some option makes a rule fail or advise that is silent on the intended proposal.

    A task that asks turns on the rules on which its answers rest.
    """
    if task.asks:
        return rule.id in _rules_of_answers(task)
    house = apply(task.house, task.decisions, task.key.intended)
    before = worst(rule, house, task)
    return any(worst(rule, wrong, task) not in (None, before) for _, _, wrong in wrong_options(task))


def worst(rule: Rule, house: Installation, task: Task) -> Outcome | None:
    """The failing outcome of a rule on a house, else its advice, else None."""
    limits = limits_for(task.edition)
    found: Outcome | None = None
    for _, record in subjects(house, rule.over):
        verdict: Verdict | None = rule.judge(record, house, limits)
        if verdict is not None and verdict.outcome in _AT_STAKE and found is not Outcome.DOES_NOT_COMPLY:
            found = verdict.outcome
    return found


def practice_task(rule: Rule, make: TaskMaker, new_seed: Callable[[], int]) -> Task | None:
    """A new task that turns on a rule; where draws give none, the one that the index knows; else None."""
    places = exercises_of(rule.id).best[:_PLACES_TRIED]
    for number in range(_MOST_DRAWS if places else 0):
        place = places[number % len(places)]
        task = make(asked_for(place, new_seed()))
        if turns_on(task, rule):
            return task
    for place in places:
        task = make(asked_for(place, place.seed))
        if turns_on(task, rule):
            return task
    return None


def asked_for(place: Place, seed: int) -> TaskRequest:
    """The request for a task of a place."""
    return TaskRequest(seed=seed, level=place.level, archetype=place.archetype, kind=place.kind)


def _rules_of_answers(task: Task) -> set[str]:
    return {rule_id for key in task.key.asks.values() for rule_id in key.rules}


def rules_at_stake(task: Task) -> dict[str, set[str]]:
    """The rules that a task turns on, each with the kinds of the decisions that break it."""
    if task.asks:
        return {rule_id: set() for rule_id in _rules_of_answers(task)}
    house = apply(task.house, task.decisions, task.key.intended)
    held = [rule for rule in ALL_RULES if task.edition in rule.editions]
    before = {rule.id: worst(rule, house, task) for rule in held}
    found: dict[str, set[str]] = {}
    for kind, _, wrong in wrong_options(task):
        for rule in held:
            if worst(rule, wrong, task) not in (None, before[rule.id]):
                found.setdefault(rule.id, set()).add(kind)
    return found
