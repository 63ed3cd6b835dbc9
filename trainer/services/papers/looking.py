"""One task looked at by itself: made from its seed, with what it is worth knowing before it is given to anybody."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from trainer.domain.errors import OutOfRangeError, Problem
from trainer.domain.generator.exercised import exercised
from trainer.domain.generator.features import features_of
from trainer.domain.generator.reading_load import BAND, words_to_read
from trainer.domain.generator.request import SEED_END, TaskRequest
from trainer.domain.tasks import SheetKind, Task, TaskKind
from trainer.services.proving.seeds import fingerprint
from trainer.services.scenarios import make_task, scenarios

MOST_OBJECTIVES = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What somebody wants to see; ``generator_version`` is the one that the seed was given with, if it was told."""

    kind: TaskKind
    level: int
    seed: int
    objectives: tuple[str, ...] = ()
    archetype: str | None = None
    family: str | None = None
    generator_version: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """How many words there are to read, and how many are usual for such a task, where that is fixed."""

    words: int
    usual: int | None = None

    @property
    def is_usual(self) -> bool:
        """True where the words lie within the band of the family, or none is fixed."""
        return self.usual is None or abs(self.words - self.usual) <= self.usual * BAND


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """A task with what it exercises, its print, what makes it hard, and its words."""

    wanted: Wanted
    task: Task
    objectives: tuple[str, ...]
    fingerprint: str
    hardness: tuple[tuple[str, float], ...]
    reading: Reading

    @property
    def request(self) -> TaskRequest:
        """What makes this task again: its seed without any objectives."""
        own = self.wanted
        return TaskRequest(
            seed=self.task.seed, level=own.level, kind=own.kind, archetype=own.archetype, family=own.family
        )

    @property
    def is_sought(self) -> bool:
        """True where another seed than the one asked for was found to meet the objectives."""
        return self.task.seed != self.wanted.seed

    @property
    def is_of_another_version(self) -> bool:
        """True where the seed was given with another generator, which made another task of it."""
        given = self.wanted.generator_version
        return given is not None and given != self.task.generator_version


def look(wanted: Wanted) -> Seen:
    """The task that is wanted. *Raises* TrainerError with what is impossible and what can be had."""
    if not 0 <= wanted.seed < SEED_END:
        problem = f"must be from 0 to {SEED_END - 1}"
        raise OutOfRangeError(Problem(path="seed", value=str(wanted.seed), problem=problem))
    own = asked(wanted)
    request = TaskRequest(
        seed=own.seed,
        level=own.level,
        archetype=own.archetype,
        kind=own.kind,
        family=own.family,
        objectives=own.objectives,
    )
    return seen(own, make_task(request))


def asked(wanted: Wanted) -> Wanted:
    """The same without what is not asked for in tasks of its kind."""
    is_question = wanted.kind is TaskKind.QUESTION
    return replace(
        wanted,
        archetype=None if is_question else wanted.archetype,
        family=wanted.family if is_question else None,
        objectives=tuple(dict.fromkeys(wanted.objectives)),
    )


def seen(wanted: Wanted, task: Task) -> Seen:
    """A task, made now or kept, with everything that its page tells of it."""
    return Seen(
        wanted=wanted,
        task=task,
        objectives=tuple(sorted(exercised(task))),
        fingerprint=fingerprint(task).hex(),
        hardness=tuple(hardness_of(task)),
        reading=reading_of(task),
    )


def hardness_of(task: Task) -> Iterable[tuple[str, float]]:
    """What makes a task hard, by name, in the order of its page."""
    sheets = sum(1 for each in task.pack if each.kind is SheetKind.DATA_SHEET)
    if task.decisions:
        found = features_of(task)
        yield from (
            ("steps", found.steps),
            ("options", found.options),
            ("rules", found.rules),
            ("sums", found.sums),
            ("nearest_percent", found.nearest_percent),
            ("traps", found.traps),
        )
    else:
        yield from (
            ("asks", len(task.asks)),
            ("to_find", sum(1 for each in task.asks if task.key.asks[each.id].model != each.usual)),
            ("options", sum(len(each.choices) for each in task.asks)),
            ("rules", len({rule for each in task.key.asks.values() for rule in each.rules})),
        )
    yield "sheets", sheets


def reading_of(task: Task) -> Reading:
    """The words of title, story, papers, and what is asked with its choices."""
    words = words_to_read((task.title, task.story), task.pack, task.decisions)
    words += sum(
        len(text.split())
        for each in task.asks
        for text in (each.question, *(one.label for one in (*each.choices, *each.partners)))
    )
    premises = scenarios().archetypes.get(task.archetype) if task.kind is TaskKind.CHOOSE else None
    return Reading(words=words, usual=premises.words.get(task.level) if premises else None)
