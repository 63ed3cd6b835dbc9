"""Sets of proposals too large to list, held as a graph of choices and independent parts."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from trainer.domain.answers.conditions import Literal

Cost = tuple[int, ...]
CostOf = Callable[[int, int], Cost]


@dataclass(frozen=True, slots=True, eq=False)
class Parts:
    """Parts that have no decision in common: every combination of their members is a member."""

    parts: tuple[Branching, ...]
    count: int


@dataclass(frozen=True, slots=True, eq=False)
class Branching:
    """One decision; each branch holds options that leave the same set for the others."""

    decision: int
    branches: tuple[tuple[tuple[int, ...], Parts], ...]
    count: int


EVERYTHING = Parts((), 1)
NOTHING = Parts((), 0)


def all_of(parts: tuple[Branching, ...]) -> Parts:
    """The product of independent parts; NOTHING as soon as one part is empty."""
    count = 1
    for part in parts:
        count *= part.count
    return Parts(parts, count) if count else NOTHING


def any_of(decision: int, options: list[tuple[int, Parts]]) -> Branching:
    """A choice; options with the same remainder are held in one branch."""
    grouped: dict[int, tuple[list[int], Parts]] = {}
    for option, rest in options:
        if rest.count:
            grouped.setdefault(id(rest), ([], rest))[0].append(option)
    branches = tuple((tuple(numbers), rest) for numbers, rest in grouped.values())
    return Branching(decision, branches, sum(len(numbers) * rest.count for numbers, rest in branches))


def contains(node: Parts, choice: tuple[int, ...] | list[int]) -> bool:
    """True when a full choice is a member."""
    if not node.count:
        return False
    for part in node.parts:
        chosen = choice[part.decision]
        rest = next((rest for numbers, rest in part.branches if chosen in numbers), None)
        if rest is None or not contains(rest, choice):
            return False
    return True


def members(node: Parts) -> Iterator[dict[int, int]]:
    """Every member, decision by option; for small sets only."""
    if not node.count:
        return
    if not node.parts:
        yield {}
        return
    first, others = node.parts[0], node.parts[1:]
    for numbers, rest in first.branches:
        for option in numbers:
            for inner in members(rest):
                for outer in members(all_of(others)):
                    yield {first.decision: option, **inner, **outer}


def best(node: Parts, cost_of: CostOf, size: int) -> tuple[Cost, dict[int, int]]:
    """The member of least total cost; costs are tuples of ``size`` numbers, added part by part.

    Of equal costs the one with the earlier options wins. *Raises* ValueError on an empty set.
    """
    if not node.count:
        raise ValueError("an empty set has no best member")
    known: dict[int, tuple[Cost, tuple[Literal, ...]]] = {}

    def of_all(part: Parts) -> tuple[Cost, tuple[Literal, ...]]:
        found = known.get(id(part))
        if found is None:
            cost: Cost = (0,) * size
            literals: tuple[Literal, ...] = ()
            for each in part.parts:
                more, chosen = of_any(each)
                cost = _add(cost, more)
                literals += chosen
            found = known[id(part)] = (cost, literals)
        return found

    def of_any(part: Branching) -> tuple[Cost, tuple[Literal, ...]]:
        found = known.get(id(part))
        if found is None:
            candidates = []
            for numbers, rest in part.branches:
                cost, literals = of_all(rest)
                for option in numbers:
                    own = _add(cost_of(part.decision, option), cost)
                    candidates.append((own, option, ((part.decision, option), *literals)))
            cost, _, literals = min(candidates, key=lambda each: each[:2])
            found = known[id(part)] = (cost, literals)
        return found

    cost, literals = of_all(node)
    return cost, dict(literals)


def _add(one: Cost, other: Cost) -> Cost:
    return tuple(a + b for a, b in zip(one, other, strict=True))
