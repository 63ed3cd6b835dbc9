"""The tasks of a refresher: what an edition changed and what went wrong last come first; the seed decides the rest."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from trainer.domain.errors import Problem, TrainerError
from trainer.domain.generator.exercised import exercised
from trainer.domain.generator.request import SEED_END, TaskRequest
from trainer.domain.questions.families import ALL_FAMILIES
from trainer.domain.tasks import Task, TaskKind
from trainer.services.programmes.errors import RefresherError
from trainer.services.programmes.records import Share

_TRIES = 3
"""So many houses are tried for one that turns on what is wanted; after that a question asks for it."""
_FULL = 1.0

TaskMaker = Callable[[TaskRequest], Task]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """What a refresher asks, in order: an objective, why it is asked, and in which kind of task."""

    objective_id: str
    why: str
    kind: TaskKind
    misconception_id: str | None = None


CHANGED, MISSED, NEVER_ASKED, IN_TURN = "changed", "missed", "never_asked", "in_turn"


def ranked(
    required: Sequence[str], shares: Mapping[str, Share], changed: frozenset[str], seed: int
) -> list[tuple[str, str]]:
    """The objectives in the order in which they are asked, each with the reason.

    First what the edition changed, then what lost marks when it was last assessed, the smallest
    share first, then what was never assessed, then the rest in turn, the one longest ago first.
    The seed decides between equals.
    """
    return sorted(
        ((name, _why(name, shares, changed)) for name in required),
        key=lambda each: (_ORDER.index(each[1]), _key(shares.get(each[0])), _mixed(seed, each[0])),
    )


def planned(
    required: Sequence[str],
    shares: Mapping[str, Share],
    changed: frozenset[str],
    kinds: Sequence[TaskKind],
    items: int,
    seed: int,
) -> tuple[Plan, ...]:
    """So many items: every kind that is wanted once, questions for the rest; objectives come round again.

    *Raises* RefresherError where nothing is required.
    """
    if not required:
        raise RefresherError(Problem(path="objectives", problem="none is required of this role; ask whoever set it"))
    order = ranked(required, shares, changed, seed)
    filler = TaskKind.QUESTION if TaskKind.QUESTION in kinds else kinds[0]
    houses = [each for each in TaskKind if each in kinds and each is not TaskKind.QUESTION]
    # With few items one house is enough: it takes as long as five questions.
    houses = houses[: max(1, items // 2)] if filler is TaskKind.QUESTION else houses
    plan = []
    for number in range(items):
        name, why = order[number % len(order)]
        # Questions first: whoever comes back after a year warms up on them.
        place = number - (items - len(houses))
        kind = houses[place] if 0 <= place < len(houses) else filler
        belief = shares[name].misconception_id if name in shares else None
        plan.append(Plan(objective_id=name, why=why, kind=kind, misconception_id=belief))
    return tuple(plan)


def drawn(plan: Sequence[Plan], make: TaskMaker, level: int, required: frozenset[str], seed: int) -> tuple[Task, ...]:
    """The tasks of a plan; no two questions of one family as long as there are others. *Raises* TrainerError."""
    tasks: list[Task] = []
    used: set[str] = set()
    for position, each in enumerate(plan, start=1):
        task = None if each.kind is TaskKind.QUESTION else _house(each, make, level, required, seed, position)
        if task is None:
            task = _question(each, make, level, used, _mixed(seed, "question", position))
        used.add(task.archetype)
        tasks.append(task)
    return tuple(tasks)


def seed_of(assignment_id: str, number: int) -> int:
    """The seed of somebody's refresher of this number: the same whenever it is asked for."""
    return _mixed(0, assignment_id, number)


_ORDER = (CHANGED, MISSED, NEVER_ASKED, IN_TURN)


def _why(name: str, shares: Mapping[str, Share], changed: frozenset[str]) -> str:
    if name in changed:
        return CHANGED
    share = shares.get(name)
    if share is None:
        return NEVER_ASKED
    return MISSED if share.marks < share.marks_available else IN_TURN


def _key(share: Share | None) -> tuple[float, float]:
    if share is None or not share.marks_available:
        return (_FULL, 0.0)
    at = 0.0 if share.last_at is None else share.last_at.timestamp()
    return (share.marks / share.marks_available, at)


def _house(plan: Plan, make: TaskMaker, level: int, required: frozenset[str], seed: int, position: int) -> Task | None:
    """A house that turns on the objective, or else on another that is required; None where none of a few does."""
    second: Task | None = None
    for task in _houses(plan.kind, make, level, seed, position):
        turns_on = exercised(task)
        if plan.objective_id in turns_on:
            return task
        if second is None and turns_on & required:
            second = task
    return second


def _houses(kind: TaskKind, make: TaskMaker, level: int, seed: int, position: int) -> Iterator[Task]:
    for attempt in range(_TRIES):
        try:
            yield make(TaskRequest(seed=_mixed(seed, kind.value, position, attempt), level=level, kind=kind))
        except TrainerError:
            continue


def _question(plan: Plan, make: TaskMaker, level: int, used: set[str], seed: int) -> Task:
    about = [each for each in ALL_FAMILIES if plan.objective_id in each.objectives]
    fresh = [each for each in about if each.id not in used] or about
    fresh = [each for each in fresh if plan.misconception_id in each.misconceptions] or fresh
    if not fresh:
        problem = "no short question asks for it; choose another objective, or let it be asked in houses only"
        raise RefresherError(Problem(path="objectives", value=plan.objective_id, problem=problem))
    nearest = min(abs(each.level - level) for each in fresh)
    names = sorted(each.id for each in fresh if abs(each.level - level) == nearest)
    return make(
        TaskRequest(seed=seed, level=level, kind=TaskKind.QUESTION, family=names[_mixed(seed, "family") % len(names)])
    )


def _mixed(seed: int, *parts: object) -> int:
    """A seed from a seed and whatever tells apart: BLAKE2b, so the same on every machine."""
    text = ":".join(map(str, (seed, *parts))).encode()
    return int.from_bytes(hashlib.blake2b(text, digest_size=8).digest(), "big") % SEED_END
