"""Where each rule can be practised: read from the index, and drawn afresh for whoever practises."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Protocol

from trainer.domain.answers.decisions import Option, apply, apply_edits
from trainer.domain.findings import Verdict
from trainer.domain.generator.data import TrapSpec
from trainer.domain.installation import Installation
from trainer.domain.limits import limits_for
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Rule, subjects
from trainer.domain.tasks import Task
from trainer.domain.vocabulary import Outcome
from trainer.resources import folder
from trainer.services.rule_pages import PLACE

INDEX = "index.json"
_AT_STAKE = frozenset({Outcome.DOES_NOT_COMPLY, Outcome.ADVICE})
_MOST_DRAWS = 60
_COMMON = 0.5

TaskMaker = Callable[[int, int, str], Task]
"""Makes a task from a seed, a level and an archetype."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Premises and level at which tasks turn on a rule, and in how many of those that were tried."""

    archetype: str
    level: int
    tasks: int
    tried: int


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
        """The places by level, those first in which at least half of the tasks turn on the rule."""
        return tuple(
            sorted(self.places, key=lambda each: (each.tasks < _COMMON * each.tried, each.level, each.archetype))
        )


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
            Place(archetype=archetype, level=level, tasks=tasks, tried=tried)
            for archetype, level, tasks, tried in entry.get("places", ())
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
    """True when some option of a task makes a rule fail or advise that is silent on the intended proposal."""
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


def practice_task(
    rule: Rule,
    make: TaskMaker,
    new_seed: Callable[[], int],
    level: int | None = None,
) -> Task | None:
    """A task that turns on a rule, drawn from the places of the index; None where no draw does."""
    places = [each for each in exercises_of(rule.id).best if level in (None, each.level)]
    if not places:
        return None
    for number in range(_MOST_DRAWS):
        seed = new_seed()
        place = places[min(number // 3, len(places) - 1)] if number else places[seed % min(3, len(places))]
        task = make(seed, place.level, place.archetype)
        if turns_on(task, rule):
            return task
    return None


class RestsOnRules(Protocol):
    """A family of short questions, as far as the rule book cares."""

    @property
    def id(self) -> str:
        """The id of the family."""

    @property
    def rules(self) -> tuple[str, ...]:
        """The rules on which its answers rest."""


QUESTION_FAMILIES: tuple[RestsOnRules, ...] = ()
"""The families that the pages of the rules name."""


def question_families(rule_id: str, families: Sequence[RestsOnRules] = QUESTION_FAMILIES) -> list[str]:
    """The families of short questions that exercise a rule."""
    return [each.id for each in families if rule_id in each.rules]


def rules_at_stake(task: Task) -> dict[str, set[str]]:
    """The rules that a task turns on, each with the kinds of the decisions that break it."""
    house = apply(task.house, task.decisions, task.key.intended)
    held = [rule for rule in ALL_RULES if task.edition in rule.editions]
    before = {rule.id: worst(rule, house, task) for rule in held}
    found: dict[str, set[str]] = {}
    for kind, _, wrong in wrong_options(task):
        for rule in held:
            if worst(rule, wrong, task) not in (None, before[rule.id]):
                found.setdefault(rule.id, set()).add(kind)
    return found
