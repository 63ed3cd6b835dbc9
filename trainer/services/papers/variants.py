"""Variants of a paper: tasks drawn from keyed seeds, equally hard for everybody, and how they are marked.

All variants of an item share premises or question family, level and objectives, which the paper's
key draws once; of a few tasks of each variant the one is taken that is most like the item's pattern.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache
from itertools import count, islice

from trainer.domain.errors import Problem, TrainerError
from trainer.domain.generator.exercised import exercised
from trainer.domain.generator.request import SEED_END, GeneratorError, TaskRequest
from trainer.domain.questions.families import ALL_FAMILIES
from trainer.domain.tasks import SheetKind, Task, TaskKind
from trainer.services.answering import weights_of
from trainer.services.papers.blueprint import Blueprint, BlueprintError, Place, Slot
from trainer.services.practice.drawing import check_possible
from trainer.services.practice.tasks import TaskForm
from trainer.services.scenarios import make_task, scenarios
from trainer.services.storage import StoredTask

# The rarest objective that a level offers comes in one task of fifty: six hundred miss it once in 180,000 times.
_TRIES = 600
TRIES_AT_ONCE = 200
"""For all slots of a paper together while a page is waited for; a house takes some milliseconds."""
_COMPARED = 16
_TYPICAL_OF = 5
_PATTERN = 0
"""The number of the variant that only sets the pattern; those of learners count from 1."""


class RareError(BlueprintError):
    """A slot that was not met in as many tasks as a page has time for; the job runner tries more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """What stands against drawing a paper, and the numbers of the slots of which only the job runner can tell."""

    problems: tuple[Problem, ...]
    rare: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnItem:
    """One task of a variant: for which item, slot and marks, and the seed that makes it."""

    position: int
    slot: int
    seed: int
    marks: int
    task: Task


@dataclass(frozen=True, slots=True, kw_only=True)
class VariantItem:
    """One item of a variant as it is stored; the task itself is stored by its hash."""

    paper_id: str
    number: int
    position: int
    slot: int
    seed: int
    content_hash: str
    marks_available: int


def variant_seed(variant_key: str, number: int, position: int, attempt: int = 0) -> int:
    """The seed of an item of a variant: BLAKE2b, keyed by the paper's secret, of the three numbers."""
    text = f"{number}:{position}:{attempt}".encode("ascii")
    digest = hashlib.blake2b(text, key=variant_key.encode()[:64], digest_size=8, person=b"papervariant").digest()
    return int.from_bytes(digest, "big") % SEED_END


@lru_cache(maxsize=32)
def draw_items(blueprint: Blueprint, variant_key: str, number: int) -> tuple[DrawnItem, ...]:
    """The tasks of a variant, the same for the same key and number. *Raises* BlueprintError, naming the slot."""
    problems: list[Problem] = []
    drawn: list[DrawnItem] = []
    for place in blueprint.places():
        try:
            task = _task_at(place, variant_key, number, frozenset(blueprint.barred_seeds))
        except TrainerError as error:
            problems += [replace(each, path=f"part {place.number}: {each.path}") for each in error.problems]
            continue
        marks = place.slot.marks
        drawn.append(DrawnItem(position=place.position, slot=place.number, seed=task.seed, marks=marks, task=task))
    if problems:
        # Copies of a slot fail alike; once is enough.
        raise BlueprintError(*dict.fromkeys(problems))
    return tuple(drawn)


def trial_of(blueprint: Blueprint, variant_key: str) -> Trial:
    """What stands against drawing a paper, each problem with its slot; one task of each slot is drawn to see.

    All slots share ``TRIES_AT_ONCE``, so that no page waits longer than for so many tasks.
    """
    problems: list[Problem] = []
    rare: list[int] = []
    turns = iter(range(TRIES_AT_ONCE))
    for place in blueprint.places():
        if place.copy == 0:
            try:
                _first(place, variant_key, frozenset(blueprint.barred_seeds), turns)
            except RareError:
                rare.append(place.number)
            except TrainerError as error:
                problems += [replace(each, path=f"part {place.number}: {each.path}") for each in error.problems]
    return Trial(problems=tuple(problems), rare=tuple(rare))


def stored(item: DrawnItem, paper_id: str, number: int, form: TaskForm, at: datetime) -> tuple[StoredTask, VariantItem]:
    """The item as it goes into storage: the task with its key, and where it stands in the paper."""
    task = item.task
    content_hash, content = form.write_task(task, weights_of(task))
    kept = StoredTask.of(task, content_hash, content, at)
    return kept, VariantItem(
        paper_id=paper_id,
        number=number,
        position=item.position,
        slot=item.slot,
        seed=item.seed,
        content_hash=content_hash,
        marks_available=item.marks,
    )


def read_back(
    items: Sequence[VariantItem], kept: Sequence[StoredTask | None], read_task: Callable[[bytes], Task]
) -> list[DrawnItem]:
    """The tasks of a variant as they are kept, each beside its item; what is no longer kept is left out."""
    return [
        DrawnItem(
            position=each.position,
            slot=each.slot,
            seed=each.seed,
            marks=each.marks_available,
            task=read_task(task.content),
        )
        for each, task in zip(items, kept, strict=True)
        if task is not None
    ]


def scaled_marks(earned: int, available: int, worth: int) -> int:
    """What a task's own marks are worth in the paper: earned / available of ``worth``, to the nearest whole mark.

    A half counts up. All marks are given exactly if the task earned all of its own.
    """
    if available <= 0 or earned >= available:
        return worth
    return min((2 * earned * worth + available) // (2 * available), worth - 1)


def _task_at(place: Place, key: str, number: int, barred: frozenset[int]) -> Task:
    slot = place.slot
    if place.copy < len(slot.pinned_seeds):
        return make_task(_request(slot, slot.pinned_seeds[place.copy]))
    pattern = _pattern(place, key, barred)
    likeness = _hardness(pattern)
    found: list[tuple[int, Task]] = []
    for task in _candidates(_like(slot, pattern), key, (number, place.position), barred):
        apart = likeness.apart(_hardness(task))
        found.append((apart, task))
        if apart == 0 or len(found) == _COMPARED:
            break
    # Nobody's paper may fail for want of a variant: the pattern itself always stands.
    return min(found, key=lambda each: each[0], default=(0, pattern))[1]


@lru_cache(maxsize=256)
def _pattern(place: Place, key: str, barred: frozenset[int]) -> Task:
    """The task that the variants of an item are like. *Raises* TrainerError where none can be drawn."""
    first = _first(place, key, barred)
    alike = _candidates(_like(place.slot, first), key, (_PATTERN, place.position), barred)
    return _typical([first, *islice(alike, _TYPICAL_OF)])


def _first(place: Place, key: str, barred: frozenset[int], turns: Iterator[int] | None = None) -> Task:
    """The task that chooses premises or family for an item. *Raises* TrainerError where none can be drawn.

    ``turns`` bounds how many are tried. *Raises* RareError where they ran out.
    """
    slot = place.slot
    if slot.kind is TaskKind.QUESTION and slot.family is None:
        slot = replace(slot, family=_family(slot, key, place))
    check_possible(_request(slot, 0), scenarios())
    for task in _candidates(slot, key, (_PATTERN, place.position), barred, turns):
        return task
    what = " and ".join(slot.objectives) or "any objective"
    # One more turn is there unless they ran out.
    ran_out = turns is not None and next(turns, None) is None
    raise (RareError if ran_out else BlueprintError)(
        Problem(
            path="objectives",
            value=what,
            problem=f"not met in {TRIES_AT_ONCE if ran_out else _TRIES} tasks of kind {slot.kind}, level {slot.level}; "
            "ask for fewer at a time, for another level or kind, or for other premises",
        )
    )


def _candidates(
    slot: Slot, key: str, at: tuple[int, int], barred: frozenset[int], turns: Iterator[int] | None = None
) -> Iterator[Task]:
    """Tasks for a slot in the order of their keyed seeds, each trial for a turn."""
    wanted = frozenset(slot.objectives)
    for attempt, _ in zip(range(_TRIES), count() if turns is None else turns, strict=False):
        seed = variant_seed(key, *at, attempt)
        if seed in barred:
            continue
        try:
            task = make_task(_request(slot, seed))
        except GeneratorError:
            continue
        if wanted <= exercised(task):
            yield task


def _request(slot: Slot, seed: int) -> TaskRequest:
    return TaskRequest(seed=seed, level=slot.level, kind=slot.kind, archetype=slot.archetype, family=slot.family)


def _like(slot: Slot, pattern: Task) -> Slot:
    """The slot with what the pattern drew."""
    if slot.kind is TaskKind.QUESTION:
        return replace(slot, family=pattern.archetype)
    return replace(slot, archetype=pattern.archetype)


def _family(slot: Slot, key: str, place: Place) -> str:
    """A family for the objectives, of the level or the nearest one; another for each task of the slot."""
    wanted = frozenset(slot.objectives)
    fit = [each for each in ALL_FAMILIES if wanted <= set(each.objectives)]
    if not fit:
        problem = "no family of questions is about all of them; ask for fewer at a time"
        raise BlueprintError(Problem(path="objectives", value=" and ".join(slot.objectives), problem=problem))
    nearest = min(abs(each.level - slot.level) for each in fit)
    names = [each.id for each in fit if abs(each.level - slot.level) == nearest]
    first = variant_seed(key, _PATTERN, place.position - place.copy)
    return _shuffled(names, first)[place.copy % len(names)]


def _shuffled(names: Sequence[str], seed: int) -> list[str]:
    """The names in an order that the seed decides."""
    return sorted(names, key=lambda name: hashlib.blake2b(f"{seed}:{name}".encode()).digest())


@dataclass(frozen=True, slots=True, kw_only=True)
class _Hardness:
    """What makes a task hard and may differ within its premises: what is to settle, to find, to earn, traps, sheets."""

    kinds: Counter[str]
    to_find: int
    traps: int
    sheets: int
    own_marks: int

    def apart(self, other: _Hardness) -> int:
        """How unlike two tasks are; what is asked counts most."""
        kinds = sum(((self.kinds - other.kinds) + (other.kinds - self.kinds)).values())
        to_find = abs(self.to_find - other.to_find)
        marks = abs(self.own_marks - other.own_marks)
        return 3 * (kinds + to_find) + marks + abs(self.traps - other.traps) + abs(self.sheets - other.sheets)


def _hardness(task: Task) -> _Hardness:
    asked = (
        (each.id.rpartition(".")[2] for each in task.decisions) if task.decisions else (each.form for each in task.asks)
    )
    return _Hardness(
        kinds=Counter(map(str, asked)),
        to_find=sum(1 for each in task.asks if task.key.asks[each.id].model != each.usual),
        traps=len(task.key.traps),
        sheets=sum(1 for each in task.pack if each.kind is SheetKind.DATA_SHEET),
        own_marks=sum(weights_of(task)),
    )


def _typical(tasks: Sequence[Task]) -> Task:
    """The task that is least unlike all others, the first of several."""
    hardness = [_hardness(each) for each in tasks]
    return min(zip(tasks, hardness, strict=True), key=lambda pair: sum(map(pair[1].apart, hardness)))[0]
