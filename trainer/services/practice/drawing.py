"""Tasks for given objectives: a seed is sought whose task exercises them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import islice

from trainer.domain.errors import Problem, TrainerError, UnknownNameError, unknown
from trainer.domain.generator.data import ScenarioData
from trainer.domain.generator.exercised import exercised, possible_objectives, promising
from trainer.domain.generator.generate import first_focus
from trainer.domain.generator.randomness import Draws
from trainer.domain.generator.reading import LEVELS
from trainer.domain.generator.request import SEED_END, GeneratorError, TaskRequest
from trainer.domain.questions.families import ALL_FAMILIES
from trainer.domain.tasks import Task, TaskKind
from trainer.services.objectives import objectives

_TRIES = 400
"""How many tasks are made at most."""
_SEEDS = 40_000
"""How many seeds are looked at, which costs little."""
_VERSION = "1"
_UPPER = 2**31


class ImpossibleDrawError(TrainerError):
    """Objectives, level and kind that never meet; the message says what can be had."""


def draw_for(request: TaskRequest, data: ScenarioData, make: Callable[[TaskRequest], Task]) -> Task:
    """A task that exercises all objectives of a request.

    The task carries the seed that was found, and is what that seed gives without any objectives, so
    it replays like every other. *Raises* UnknownNameError, ImpossibleDrawError.
    """
    for name in request.objectives:
        if name not in objectives():
            raise UnknownNameError(unknown("objective", name, objectives(), "objective"))
    check_possible(request, data)
    wanted = frozenset(request.objectives)
    for each in islice(_requests(request, wanted, data), _TRIES):
        try:
            task = make(each)
        except GeneratorError:
            continue
        if wanted <= exercised(task):
            return task
    together = " and ".join(sorted(wanted))
    raise ImpossibleDrawError(
        Problem(
            path="objectives",
            value=together,
            problem=f"not met together in {_TRIES} tasks of kind {request.kind}, level {request.level}; "
            "ask for fewer at a time, for a higher level, or for other premises",
        )
    )


def _requests(request: TaskRequest, wanted: frozenset[str], data: ScenarioData) -> Iterator[TaskRequest]:
    """What is worth making: seeds whose trap and premises may exercise what is wanted, or a family that does."""
    plain = replace(request, objectives=())
    if request.kind is TaskKind.QUESTION:
        families = [each.id for each in ALL_FAMILIES if wanted <= set(each.objectives)]
        if families:
            yield replace(plain, family=families[request.seed % len(families)])
        return
    worth = promising(request.level, wanted, data, request.archetype) if request.kind is TaskKind.CHOOSE else None
    for seed in _seeds(request.seed):
        each = replace(plain, seed=seed)
        if worth is None or first_focus(each, data) in worth:
            yield each


def _seeds(first: int) -> Iterator[int]:
    """The seed itself, then seeds drawn from it."""
    yield first
    draws = Draws(first, "objectives", _VERSION)
    for _ in range(_SEEDS):
        yield (draws.integer(0, _UPPER - 1) * _UPPER + draws.integer(0, _UPPER - 1)) % SEED_END


def check_possible(request: TaskRequest, data: ScenarioData) -> None:
    """Nothing where each objective can be met. *Raises* ImpossibleDrawError with the levels or kinds that can."""
    if request.kind not in (TaskKind.CHOOSE, TaskKind.QUESTION):
        return
    having = reachable(request.kind, request.level, data, request.archetype)
    for name in request.objectives:
        if name not in having:
            raise ImpossibleDrawError(Problem(path="objectives", value=name, problem=_elsewhere(name, request, data)))


def reachable(kind: TaskKind, level: int, data: ScenarioData, archetype: str | None = None) -> frozenset[str]:
    """The objectives that tasks of a kind and level can exercise, as far as that is known beforehand."""
    if kind is TaskKind.QUESTION:
        return frozenset(one for family in ALL_FAMILIES for one in family.objectives)
    return possible_objectives(level, data, archetype)


def _elsewhere(name: str, request: TaskRequest, data: ScenarioData) -> str:
    """Why an objective cannot be met, and where it can."""
    levels = [str(level) for level in LEVELS if name in reachable(request.kind, level, data)]
    said = f"no task of kind {request.kind}, level {request.level} exercises it"
    if request.archetype is not None:
        said += f" in archetype {request.archetype}"
    if levels:
        return f"{said}; level {', '.join(levels)} can"
    return f"{said}, at no level; ask for kind {TaskKind.QUESTION}, {TaskKind.INSPECT} or {TaskKind.MEASURE}"
