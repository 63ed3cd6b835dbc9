"""What is asked of the generator, checked at the door."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.domain.errors import OutOfRangeError, Problem, TrainerError, UnknownNameError, unknown
from trainer.domain.generator.data import ScenarioData
from trainer.domain.generator.reading import LEVELS
from trainer.domain.tasks import TaskKind

SEED_END = 2**63
MADE_HERE = (TaskKind.CHOOSE,)
"""The kinds of task that the generator makes."""


class GeneratorError(TrainerError):
    """A seed for which no scenario could be made: a fault of the generator or of its data."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskRequest:
    """One task asked for. Without an archetype the seed draws one that has the level.

    ``family`` is that of a question; without it the seed draws one. With ``objectives`` a seed is
    sought whose task exercises them all. ``generator_version`` is the one that the seed was given
    with, where it comes from an earlier day.
    """

    seed: int
    level: int = 1
    archetype: str | None = None
    kind: TaskKind = TaskKind.CHOOSE
    family: str | None = None
    objectives: tuple[str, ...] = ()
    generator_version: str | None = None


def checked(request: TaskRequest, data: ScenarioData) -> TaskRequest:
    """The request itself. *Raises* OutOfRangeError for the seed, UnknownNameError for the names."""
    if not 0 <= request.seed < SEED_END:
        raise OutOfRangeError(
            Problem(path="seed", value=str(request.seed), problem=f"must be from 0 to {SEED_END - 1}")
        )
    if request.level not in LEVELS:
        names = [str(level) for level in LEVELS]
        raise UnknownNameError(unknown("level", str(request.level), names, "level"))
    kind_named(request.kind)
    if request.archetype is not None:
        _check_archetype(request.archetype, request.level, data)
    return request


def kind_named(name: str) -> TaskKind:
    """The kind of task of that name. *Raises* UnknownNameError for one that is not made here."""
    kinds = [kind.value for kind in MADE_HERE]
    if name not in kinds:
        raise UnknownNameError(unknown("kind", name, kinds, "kind of task"))
    return TaskKind(name)


def _check_archetype(name: str, level: int, data: ScenarioData) -> None:
    archetype = data.archetypes.get(name)
    if archetype is None:
        raise UnknownNameError(unknown("archetype", name, data.archetypes, "archetype"))
    if level not in archetype.levels:
        having = tuple(each.id for each in data.archetypes.values() if level in each.levels)
        raise UnknownNameError(
            Problem(
                path="archetype",
                value=name,
                problem=f"has no scenarios of level {level}; it has {', '.join(map(str, archetype.levels))}",
                possible=having,
            )
        )
