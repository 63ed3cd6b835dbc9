"""What a scenario will be about, decided before anything of the house is drawn in detail."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeVar

from trainer.domain.generator.data import (
    Archetype,
    BoardStyle,
    Family,
    ScenarioData,
    SupplyKind,
    TrapSpec,
    Variant,
    Work,
)
from trainer.domain.generator.randomness import Draws

T = TypeVar("T")
Pair = tuple[TrapSpec, Archetype]
"""A trap and premises that can hold it."""

Feasible = tuple[TrapSpec, tuple[Archetype, ...]]
"""A trap and all premises that can hold it."""

WHOLE_HOUSE = 4
"""From this level on a whole set of the archetype's wishes is built."""

_EXISTING = {1: (2, 3), 2: (3, 4), 3: (5, 6), 4: (4, 6), 5: (4, 6)}
"""How many circuits are there already, by level."""

_FEWEST = {1: 1, 2: 1, 3: 3, 4: 2, 5: 3}
"""How many are left where the papers would be too long."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """One circuit to build: the work, the family and the variant that were drawn for it."""

    work: Work
    family: Family
    variant: Variant


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The frame of a scenario. ``subject`` is the work that the focus trap is about."""

    level: int
    archetype: Archetype
    supply: SupplyKind
    board: BoardStyle
    focus: TrapSpec
    subject: Chosen
    wanted: tuple[Chosen, ...]
    existing: tuple[Chosen, ...]

    @property
    def residual_device_is_given(self) -> bool:
        """True when the focus is a property of a residual current device, so that the subject has one."""
        focus = self.focus
        if focus.shared or focus.existing or focus.honest:
            return False
        return focus.decisions[0] in ("type", "sensitivity", "direction", "poles")


def draw_focus(draws: Draws, feasible: Sequence[Feasible]) -> Pair:
    """A trap, each as likely as the others over all levels, then one of the archetypes that can hold it.

    Drawing the archetype first would leave a trap that few premises know to almost nobody.
    """
    trap, fitting = draws.weighted(feasible, [trap.weight / len(trap.levels) for trap, _ in feasible])
    return trap, draws.weighted(fitting, [each.weight for each in fitting])


def draw_plan(
    draws: Draws, level: int, focus: TrapSpec, archetype: Archetype, data: ScenarioData, more: int = 0
) -> Plan:
    """A plan whose focus is the given trap, with some more or fewer existing circuits than were drawn."""
    wants = focus.wants
    supply = _weighted(draws, archetype.supplies, lambda s: _serves(s, focus, archetype), lambda s: s.weight)
    board = _weighted(
        draws,
        archetype.boards,
        lambda b: supply.system in b.systems and _accepts(wants.boards, b.style),
        lambda b: b.weight,
    )
    roles = _roles(draws, level, archetype, focus, data)
    guided = {roles[0], *wants.together}
    wanted = {role: _chosen(draws, _work(archetype, role), focus if role in guided else None, data) for role in roles}
    return Plan(
        level=level,
        archetype=archetype,
        supply=supply,
        board=board,
        focus=focus,
        subject=wanted[roles[0]],
        wanted=tuple(wanted[work.role] for work in archetype.wanted if work.role in wanted),
        existing=_existing(draws, level, archetype, focus, data, more),
    )


def feasible_pairs(level: int, name: str | None, data: ScenarioData) -> Iterator[Pair]:
    """Every trap of the level with each archetype that can hold it, in the order of the catalogue."""
    return ((trap, archetype) for trap, fitting in feasible_traps(level, name, data) for archetype in fitting)


@lru_cache(maxsize=256)
def feasible_traps(level: int, name: str | None, data: ScenarioData) -> tuple[Feasible, ...]:
    """Every trap of the level that an archetype can hold, with all that can, in the order of the catalogue."""
    premises = [each for each in data.archetypes.values() if level in each.levels and name in (None, each.id)]
    found = (
        (trap, tuple(each for each in premises if _feasible(trap, level, each, data)))
        for trap in data.traps.values()
        if level in trap.levels
    )
    return tuple(each for each in found if each[1])


def _feasible(trap: TrapSpec, level: int, archetype: Archetype, data: ScenarioData) -> bool:
    served = any(_serves(supply, trap, archetype) for supply in archetype.supplies)
    if not served or not _accepts(trap.wants.premises, archetype.premises):
        return False
    if trap.existing and not any(_fits(work, trap, data) for work in archetype.existing):
        return False
    return bool(_subjects(trap, level, archetype, data))


def _serves(supply: SupplyKind, trap: TrapSpec, archetype: Archetype) -> bool:
    """True when a trap can lie in a house with this supply, on one of the boards that go with it."""
    return _accepts(trap.wants.systems, supply.system) and any(
        supply.system in board.systems and _accepts(trap.wants.boards, board.style) for board in archetype.boards
    )


def _accepts(wanted: Sequence[T], value: T) -> bool:
    return not wanted or value in wanted


def _subjects(trap: TrapSpec, level: int, archetype: Archetype, data: ScenarioData) -> list[Work]:
    """The works that a trap can be about, which at the highest level belong to a whole house."""
    works = [work for work in archetype.wanted if trap.existing or _fits(work, trap, data)]
    inside = {role for roles in _sets(trap, level, archetype) for role in roles}
    return [work for work in works if work.role in inside]


def possible_roles(trap: TrapSpec, level: int, archetype: Archetype, data: ScenarioData) -> Iterator[str]:
    """The roles of new work that a scenario round a trap can have."""
    subjects = {work.role for work in _subjects(trap, level, archetype, data)}
    for roles in _sets(trap, level, archetype):
        if subjects & set(roles):
            yield from roles


def _is_further(role: str, roles: set[str]) -> bool:
    """True for a second item of a kind, such as charger_2 beside charger: nobody gets it without the first."""
    head, _, tail = role.rpartition("_")
    return tail.isdigit() and head in roles


def _sets(trap: TrapSpec, level: int, archetype: Archetype) -> list[tuple[str, ...]]:
    """The sets of roles that are built together at the level and hold all that a trap needs."""
    roles = {work.role for work in archetype.wanted}
    alone = tuple((work.role,) for work in archetype.wanted if not _is_further(work.role, roles))
    sets = alone if level < WHOLE_HOUSE else archetype.whole if level == WHOLE_HOUSE else archetype.site
    return [roles for roles in sets if set(trap.wants.together) <= set(roles)]


def _fits(work: Work, trap: TrapSpec, data: ScenarioData) -> bool:
    wants = trap.wants
    if not _accepts(wants.roles, work.role):
        return False
    return any(
        _accepts(wants.families, name)
        and any(_accepts(wants.variants, variant.id) for variant in data.families[name].variants)
        for name in work.families.values
    )


def _roles(draws: Draws, level: int, archetype: Archetype, focus: TrapSpec, data: ScenarioData) -> list[str]:
    """The roles of the new work, that of the focus first."""
    subject = draws.choice(_subjects(focus, level, archetype, data)).role
    sets = [roles for roles in _sets(focus, level, archetype) if subject in roles]
    return [subject, *(role for role in draws.choice(sets) if role != subject)]


def _work(archetype: Archetype, role: str) -> Work:
    return next(work for work in archetype.wanted if work.role == role)


def _chosen(draws: Draws, work: Work, focus: TrapSpec | None, data: ScenarioData) -> Chosen:
    names = list(work.families.values)
    weights = list(work.families.weights)
    families = [data.families[name] for name in names]
    wants = focus.wants if focus is not None else None
    if wants is not None:
        kept = [
            (family, weight)
            for family, weight in zip(families, weights, strict=True)
            if _accepts(wants.families, family.id)
            and any(_accepts(wants.variants, variant.id) for variant in family.variants)
        ]
        families, weights = [family for family, _ in kept], [weight for _, weight in kept]
    family = draws.weighted(families, weights)
    variants = [v for v in family.variants if wants is None or _accepts(wants.variants, v.id)]
    variant = draws.weighted(variants, [v.weight for v in variants])
    return Chosen(work=work, family=family, variant=variant)


def _existing(
    draws: Draws, level: int, archetype: Archetype, focus: TrapSpec, data: ScenarioData, more: int
) -> tuple[Chosen, ...]:
    """The circuits that are there already: the likely ones first, as many as the level shows.

    A trap in a device that many circuits share needs all of them.
    """
    few, many = _EXISTING[level]
    count = max(_FEWEST[level], more + (many if focus.shared else draws.integer(few, many)))
    present = [work for work in archetype.existing if focus.shared or draws.chance(work.probability)]
    absent = [work for work in archetype.existing if work not in present]
    fitting = [work for work in archetype.existing if focus.existing and _fits(work, focus, data)]
    asked = [draws.choice(fitting)] if fitting else []
    sure = [work for work in present if work.probability >= 1]
    rest = [work for work in present if work.probability < 1]
    kept = {work.role for work in _first(count, [*asked, *sure, *rest, *absent])}
    return tuple(_chosen(draws, work, None, data) for work in archetype.existing if work.role in kept)


def _first(count: int, works: Sequence[Work]) -> list[Work]:
    """The first works, each counted once."""
    found: list[Work] = []
    for work in works:
        if work not in found and len(found) < count:
            found.append(work)
    return found


def _weighted(draws: Draws, options: Sequence[T], accept: Callable[[T], bool], weight: Callable[[T], float]) -> T:
    fitting = [option for option in options if accept(option)]
    return draws.weighted(fitting, [weight(option) for option in fitting])
