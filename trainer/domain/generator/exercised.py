"""What a task exercises: objectives by kind of decision, and what of it a level can have at all."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from trainer.domain.generator.data import Archetype, ScenarioData, TrapSpec
from trainer.domain.generator.needs import ARC_DETECTION_PREMISES
from trainer.domain.generator.offers import objectives_of
from trainer.domain.generator.plan import feasible_pairs, possible_roles
from trainer.domain.generator.specs import each_value
from trainer.domain.tasks import Task

_CIRCUIT = ("way", "type", "sensitivity", "poles", "arc", "direction", "curve", "rating", "capacity", "cable", "place")
_THING = ("earthing", "link", "battery")
_SOURCES = ("electrode", "assembly", "notices", "generation_route")
_HOUSE = ("load_route", "surge", "bonding")
_KINDS = {
    2: frozenset({*_CIRCUIT, *_THING, *_SOURCES}),
    3: frozenset({*_CIRCUIT, *_THING, *_SOURCES}) - {"battery"},
    4: frozenset({*_CIRCUIT, *_THING, *_SOURCES, *_HOUSE}),
    5: frozenset({*_CIRCUIT, *_THING, *_SOURCES, *_HOUSE}),
}
"""Kinds of decision by level; level 1 has only that of its trap."""
_ISLAND = frozenset({"electrode", "link"})
_SPLIT, _FRONT = "dual_rccb", "tt_front"
_SOURCE_ROLES = frozenset({"pv", "battery", "hybrid", "vehicle"})
_SHARED_FROM = 3


def exercised(task: Task) -> frozenset[str]:
    """The objectives of everything that a task asks."""
    asked = (*(each.objectives for each in task.decisions), *(each.objectives for each in task.asks))
    return frozenset(one for many in asked for one in many)


@lru_cache(maxsize=256)
def possible_objectives(level: int, data: ScenarioData, archetype: str | None = None) -> frozenset[str]:
    """The objectives that the decisions of a level can exercise."""
    pairs = feasible_pairs(level, archetype, data)
    return frozenset(one for trap, premises in pairs for one in _of_pair(trap, premises, level, data))


def promising(
    level: int, wanted: frozenset[str], data: ScenarioData, archetype: str | None = None
) -> frozenset[tuple[str, str]]:
    """The pairs of trap and premises, by id, whose tasks may exercise all that is wanted."""
    return frozenset(
        (trap.id, premises.id)
        for trap, premises in feasible_pairs(level, archetype, data)
        if wanted <= _of_pair(trap, premises, level, data)
    )


def _of_pair(trap: TrapSpec, premises: Archetype, level: int, data: ScenarioData) -> frozenset[str]:
    """What a task round a trap in such premises may exercise."""
    roles = set(possible_roles(trap, level, premises, data))
    kinds = set(_KINDS.get(level, trap.decisions))
    styles = {board.style for board in premises.boards}
    if _SPLIT not in styles:
        kinds.discard("place")
    if level > 1 and not roles & _SOURCE_ROLES:
        kinds -= set(_SOURCES)
    if not roles & {"battery", "hybrid"}:
        kinds.discard("battery")
    if premises.premises not in ARC_DETECTION_PREMISES:
        kinds.discard("arc")
    if not any(_forms_island(family, data) for family in _families(premises, roles)):
        kinds -= _ISLAND
    if level >= _SHARED_FROM:
        roles |= {"rccb1", "rccb2"} if _SPLIT in styles else set()
        roles |= {"front"} if _FRONT in styles else set()
    return frozenset(one for kind in kinds for role in roles for one in objectives_of(data.decisions[kind], role))


def _families(premises: Archetype, roles: set[str]) -> Iterator[str]:
    for work in premises.wanted:
        if work.role in roles:
            yield from work.families.values


def _forms_island(family: str, data: ScenarioData) -> bool:
    """True for equipment that can feed the house while the network is away."""
    return any(path == "source.island" and True in each_value(spec) for path, spec in data.families[family].facts)
