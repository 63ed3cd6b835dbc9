"""What a paper is drawn from: slots with objectives, kind, level, number and marks; written as JSON."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

from trainer.domain.errors import Problem, TrainerError, unknown
from trainer.domain.generator.reading import LEVELS
from trainer.domain.generator.request import SEED_END
from trainer.domain.questions.families import ALL_FAMILIES
from trainer.domain.tasks import TaskKind
from trainer.services.objectives import objectives
from trainer.services.scenarios import scenarios

FORMAT, VERSION = "paper_blueprint", 1
MOST_ITEMS, MOST_MARKS, MOST_OBJECTIVES = 60, 100, 6
"""Of a paper, of one item, of one slot."""
_MINUTES = {TaskKind.CHOOSE: (4, 9, 14, 20, 25), TaskKind.INSPECT: (8, 10, 14, 18, 20)}
_MINUTES_TO_MEASURE, _MINUTES_TO_QUESTION = 10, 2


class BlueprintError(TrainerError):
    """A blueprint that cannot be used; every problem names its slot."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """One entry: ``count`` tasks of one kind and level for the same objectives, each worth ``marks``.

    Without ``archetype`` or ``family`` the paper's key draws one, the same for every learner. The
    first tasks of the slot take the ``pinned_seeds``, which are then the same for everybody.
    """

    kind: TaskKind
    level: int
    objectives: tuple[str, ...] = ()
    archetype: str | None = None
    family: str | None = None
    count: int = 1
    marks: int = 10
    pinned_seeds: tuple[int, ...] = ()

    @property
    def minutes(self) -> int:
        """About how long its tasks take in all: rough, from the number of things to decide."""
        if self.kind is TaskKind.QUESTION:
            return _MINUTES_TO_QUESTION * self.count
        each = _MINUTES[self.kind][self.level - 1] if self.kind in _MINUTES else _MINUTES_TO_MEASURE
        return each * self.count


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """One item of the paper: its position from 1, its slot from 1, and which task of the slot it is, from 0."""

    position: int
    number: int
    copy: int
    slot: Slot


@dataclass(frozen=True, slots=True, kw_only=True)
class Blueprint:
    """The slots of a paper in order, and seeds that must not be drawn."""

    slots: tuple[Slot, ...] = ()
    barred_seeds: tuple[int, ...] = ()

    @property
    def items(self) -> int:
        """How many tasks a learner gets."""
        return sum(each.count for each in self.slots)

    @property
    def marks(self) -> int:
        """What the paper is worth."""
        return sum(each.count * each.marks for each in self.slots)

    @property
    def minutes(self) -> int:
        """About how long it takes."""
        return sum(each.minutes for each in self.slots)

    @property
    def objectives(self) -> tuple[str, ...]:
        """All objectives in the order of their ids."""
        return tuple(sorted({one for each in self.slots for one in each.objectives}))

    def places(self) -> Iterator[Place]:
        """Every item in order."""
        position = 0
        for number, slot in enumerate(self.slots, start=1):
            for copy in range(slot.count):
                position += 1
                yield Place(position=position, number=number, copy=copy, slot=slot)


def write_blueprint(blueprint: Blueprint) -> str:
    """The blueprint as JSON, the same text for the same blueprint."""
    document = {"format": FORMAT, "version": VERSION, **asdict(blueprint)}
    return json.dumps(document, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def read_blueprint(text: str) -> Blueprint:
    """The blueprint in a text. *Raises* BlueprintError with every problem."""
    try:
        document = json.loads(text)
    except ValueError as error:
        raise BlueprintError(Problem(path="blueprint", problem=f"not JSON: {error}")) from error
    if not isinstance(document, dict) or (document.get("format"), document.get("version")) != (FORMAT, VERSION):
        raise BlueprintError(Problem(path="blueprint", problem=f"not a {FORMAT} of version {VERSION}"))
    problems: list[Problem] = []
    listed = document.get("slots")
    if not isinstance(listed, list):
        raise BlueprintError(Problem(path="slots", problem="must be a list"))
    slots = [_slot(each, f"part {number}", problems) for number, each in enumerate(listed, start=1)]
    barred = _seeds(document.get("barred_seeds", []), "barred_seeds", problems)
    blueprint = Blueprint(slots=tuple(each for each in slots if each is not None), barred_seeds=barred)
    if not problems:
        problems += problems_of(blueprint)
    if problems:
        raise BlueprintError(*problems)
    return blueprint


def _slot(given: object, path: str, problems: list[Problem]) -> Slot | None:
    """A slot by its types; None, with the problems noted, where they are wrong."""
    if not isinstance(given, Mapping):
        problems.append(Problem(path=path, problem="must be a table"))
        return None
    before = len(problems)
    strange = sorted(set(given) - set(Slot.__slots__))
    problems += [unknown(f"{path}.{name}", name, Slot.__slots__, "entry") for name in strange]
    kind = _kind(given.get("kind"), path, problems)
    values: dict[str, Any] = {"kind": kind}
    for name, usual in (("level", None), ("count", 1), ("marks", 10)):
        values[name] = _whole(given.get(name, usual), f"{path}.{name}", problems)
    for name in ("archetype", "family"):
        value = given.get(name)
        if value is not None and not isinstance(value, str):
            problems.append(Problem(path=f"{path}.{name}", problem="must be a name or absent"))
        values[name] = value or None
    values["objectives"] = _names(given.get("objectives", []), f"{path}.objectives", problems)
    values["pinned_seeds"] = _seeds(given.get("pinned_seeds", []), f"{path}.pinned_seeds", problems)
    return Slot(**values) if len(problems) == before else None


def _kind(given: object, path: str, problems: list[Problem]) -> TaskKind | None:
    if given in list(TaskKind):
        return TaskKind(str(given))
    problems.append(unknown(f"{path}.kind", str(given), list(TaskKind), "kind of task"))
    return None


def _whole(given: object, path: str, problems: list[Problem]) -> int:
    if type(given) is int:
        return given
    problems.append(Problem(path=path, value=None if given is None else str(given)[:40], problem="not a whole number"))
    return 0


def _names(given: object, path: str, problems: list[Problem]) -> tuple[str, ...]:
    if isinstance(given, list) and all(isinstance(each, str) for each in given):
        return tuple(dict.fromkeys(given))
    problems.append(Problem(path=path, problem="must be a list of names"))
    return ()


def _seeds(given: object, path: str, problems: list[Problem]) -> tuple[int, ...]:
    if isinstance(given, list) and all(type(each) is int and 0 <= each < SEED_END for each in given):
        return tuple(given)
    problems.append(Problem(path=path, problem=f"must be a list of seeds, from 0 to {SEED_END - 1}"))
    return ()


def barring(blueprint: Blueprint, seeds: Collection[int]) -> Blueprint:
    """The blueprint with more seeds that must not be drawn."""
    return replace(blueprint, barred_seeds=tuple(dict.fromkeys((*blueprint.barred_seeds, *seeds))))


def pinned_though_barred(blueprint: Blueprint) -> Iterator[Problem]:
    """The seeds that a slot gives to everybody and that nobody may have, each with its slot."""
    for number, slot in enumerate(blueprint.slots, start=1):
        for seed in slot.pinned_seeds:
            if seed in blueprint.barred_seeds:
                text = "is pinned here and barred in your organisation; take back the pin or the bar"
                yield Problem(path=f"part {number}", value=str(seed), problem=text)


def problems_of(blueprint: Blueprint) -> Sequence[Problem]:
    """All that is wrong with a blueprint as far as it is known without drawing."""
    problems = [each for number, slot in enumerate(blueprint.slots, start=1) for each in _wrong(slot, f"part {number}")]
    if blueprint.items > MOST_ITEMS:
        text = f"at most {MOST_ITEMS} tasks in a paper; take some out"
        problems.append(Problem(path="slots", value=blueprint.items, problem=text))
    return problems


def _wrong(slot: Slot, path: str) -> Iterator[Problem]:
    if slot.level not in LEVELS:
        yield unknown(f"{path}.level", str(slot.level), map(str, LEVELS), "level")
    if not 1 <= slot.count <= MOST_ITEMS:
        yield Problem(path=f"{path}.count", value=slot.count, problem=f"must be from 1 to {MOST_ITEMS}")
    if not 1 <= slot.marks <= MOST_MARKS:
        yield Problem(path=f"{path}.marks", value=slot.marks, problem=f"must be from 1 to {MOST_MARKS}")
    if len(slot.objectives) > MOST_OBJECTIVES:
        text = f"at most {MOST_OBJECTIVES} objectives in one part; divide it"
        yield Problem(path=f"{path}.objectives", value=len(slot.objectives), problem=text)
    for name in slot.objectives:
        if name not in objectives():
            yield unknown(f"{path}.objectives", name, objectives(), "objective")
    yield from _wrong_choice(slot, path)
    if len(slot.pinned_seeds) > slot.count:
        text = f"more pinned tasks than the {slot.count} of the part"
        yield Problem(path=f"{path}.pinned_seeds", value=len(slot.pinned_seeds), problem=text)


def _wrong_choice(slot: Slot, path: str) -> Iterator[Problem]:
    """What is wrong with the archetype or family."""
    is_question = slot.kind is TaskKind.QUESTION
    if slot.family is not None:
        families = [each.id for each in ALL_FAMILIES]
        if not is_question:
            yield Problem(path=f"{path}.family", value=slot.family, problem="only questions have families")
        elif slot.family not in families:
            yield unknown(f"{path}.family", slot.family, families, "family of questions")
    if slot.archetype is not None:
        known = scenarios().archetypes
        if is_question:
            yield Problem(path=f"{path}.archetype", value=slot.archetype, problem="questions have families instead")
        elif slot.archetype not in known:
            yield unknown(f"{path}.archetype", slot.archetype, known, "archetype")
        elif slot.level not in known[slot.archetype].levels:
            text = f"has no tasks of level {slot.level}"
            yield Problem(path=f"{path}.archetype", value=slot.archetype, problem=text)
