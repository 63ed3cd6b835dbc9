"""Sets of several tasks in a row: an objective, mixed with its look-alikes."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from random import Random

from trainer.domain.questions.registry import families_for_objective
from trainer.services.notes.reading import notes

LENGTHS = (1, 3, 5, 10)
_LOOK_ALIKES = 2


@cache
def look_alikes(objective_id: str, number: int = _LOOK_ALIKES) -> tuple[str, ...]:
    """The objectives most easily taken for this one: they share rules, wrong beliefs and traps."""
    own = _marks_of(objective_id)
    near = [(len(own & _marks_of(each)), each) for each in notes() if each != objective_id]
    # Among equals the neighbour in number, which is of the same subject.
    here = int(objective_id[2:])
    ordered = sorted(near, key=lambda each: (-each[0], abs(int(each[1][2:]) - here), each[1]))
    return tuple(name for _shared, name in ordered[:number])


@cache
def _marks_of(objective_id: str) -> frozenset[str]:
    families = families_for_objective(objective_id)
    beliefs = {each for family in families for each in family.misconceptions}
    rules = {each for family in families for each in family.rules} | set(notes()[objective_id].rules)
    return frozenset(beliefs | rules)


def mixed(objective_id: str, length: int, seed: int) -> tuple[str, ...]:
    """The objectives of a set, one for each task: every other one is the wanted one."""
    wanted = (length + 1) // 2 if length > 1 else 1
    others = look_alikes(objective_id)
    rest = [others[place % len(others)] for place in range(length - wanted)]
    # The same seed must give the same set; nothing secret hangs on it.
    draws = Random(seed)  # noqa: S311
    draws.shuffle(rest)
    return tuple(objective_id if place % 2 == 0 else rest[place // 2] for place in range(length))


def family_for(objective_id: str, seed: int, avoid: Sequence[str] = ()) -> str:
    """A family of questions for an objective, by the seed, another one than those to avoid where there is one."""
    families = [each.id for each in families_for_objective(objective_id)]
    fresh = [each for each in families if each not in avoid] or families
    return fresh[seed % len(fresh)]
