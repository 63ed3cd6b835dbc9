"""A proposal beside every acceptable one: listed where they are few, by decision where they are many."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.domain.answers.decisions import Decision, Option
from trainer.domain.answers.factored import Branching, Parts, members
from trainer.domain.answers.solver import Solution

FEW = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionStanding:
    """One option: chosen or not, and ``always``, ``sometimes`` or ``never`` in an acceptable answer."""

    option: Option
    is_chosen: bool
    standing: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """How many answers are acceptable, all of them where they are few, and how each option stands."""

    acceptable_count: int
    proposal_space: int
    listed: tuple[Mapping[str, str], ...]
    options: Mapping[str, tuple[OptionStanding, ...]]


def comparison(solution: Solution, chosen: Mapping[str, str]) -> Comparison:
    """The acceptable answers of a task beside what was chosen."""
    met = options_met(solution)
    few = solution.acceptable_count <= FEW
    listed = [_named(solution, member) for member in _full(solution)] if few else []
    return Comparison(
        acceptable_count=solution.acceptable_count,
        proposal_space=solution.proposal_space,
        listed=tuple(listed),
        options={
            each.id: tuple(_standing(each, number, met, chosen[each.id]) for number in range(len(each.options)))
            for each in solution.decisions
        },
    )


def _standing(decision: Decision, number: int, met: dict[str, set[int]], chosen: str) -> OptionStanding:
    used, option = met[decision.id], decision.options[number]
    standing = "never" if number not in used else "always" if len(used) == 1 else "sometimes"
    return OptionStanding(option=option, is_chosen=option.id == chosen, standing=standing)


def options_met(solution: Solution) -> dict[str, set[int]]:
    """For each decision the numbers of the options that occur in some acceptable answer."""
    met: list[set[int]] = [set() for _ in solution.decisions]
    _collect(solution.acceptable, frozenset(range(len(met))), solution, met, set())
    return {each.id: numbers for each, numbers in zip(solution.decisions, met, strict=True)}


def _collect(
    node: Parts,
    scope: frozenset[int],
    solution: Solution,
    met: list[set[int]],
    done: set[tuple[int, frozenset[int]]],
) -> None:
    """Adds what a set allows in its scope; a decision of the scope that no part names is free."""
    if not node.count or (id(node), scope) in done:
        return
    done.add((id(node), scope))
    named: set[int] = set()
    for part in node.parts:
        held = _decisions_of(part)
        named |= held
        for numbers, rest in part.branches:
            met[part.decision].update(numbers)
            _collect(rest, frozenset(held - {part.decision}), solution, met, done)
    for free in scope - named:
        met[free].update(range(len(solution.decisions[free].options)))


def _decisions_of(part: Branching) -> set[int]:
    found = {part.decision}
    for _, rest in part.branches:
        for each in rest.parts:
            found |= _decisions_of(each)
    return found


def _full(solution: Solution) -> list[dict[int, int]]:
    """Every acceptable answer with a value for each decision; for small sets only."""
    answers: list[dict[int, int]] = []
    for member in members(solution.acceptable):
        grown = [member]
        for number, decision in enumerate(solution.decisions):
            if number not in member:
                grown = [{**each, number: option} for each in grown for option in range(len(decision.options))]
        answers += grown
    return answers


def _named(solution: Solution, member: Mapping[int, int]) -> dict[str, str]:
    return {each.id: each.options[member[number]].label for number, each in enumerate(solution.decisions)}
