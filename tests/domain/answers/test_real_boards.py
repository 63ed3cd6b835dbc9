"""The solver with the whole rule book against judging every proposal, on boards small enough to list."""

from __future__ import annotations

from itertools import product

import pytest

from tests.bench.boards import board, open_decisions
from trainer.domain.answers.decisions import Decision, apply
from trainer.domain.answers.solver import solve
from trainer.domain.installation import Installation
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import judge


def some(house_ways: tuple[str, ...], *names: str) -> tuple[Decision, ...]:
    return tuple(each for each in open_decisions(house_ways) if each.id in names)


def listed(house: Installation, decisions: tuple[Decision, ...]) -> set[tuple[str, ...]]:
    accepted = set()
    for choice in product(*([option.id for option in each.options] for each in decisions)):
        proposal = {each.id: option for each, option in zip(decisions, choice, strict=True)}
        if not any(finding.fails for finding in judge(apply(house, decisions, proposal), ALL_RULES)):
            accepted.add(choice)
    return accepted


@pytest.mark.parametrize(
    "names",
    [
        ("way1.type", "way1.sensitivity", "way1.delay", "incomer.type"),
        ("way1.type", "way2.type", "incomer.type"),
        ("way3.curve", "way3.rating", "way3.cable"),
        ("way1.poles", "way1.sensitivity", "way2.delay"),
    ],
)
def test_the_solver_finds_what_judging_every_proposal_finds(names: tuple[str, ...]) -> None:
    ways = ("way1", "way2", "way3")
    decisions = some(ways, *names)
    assert len(decisions) == len(names)
    solution = solve(board(ways), decisions, ALL_RULES)
    accepted = listed(board(ways), decisions)
    assert 0 < len(accepted) < solution.proposal_space
    assert solution.acceptable_count == len(accepted)
    for choice in product(*([option.id for option in each.options] for each in decisions)):
        proposal = {each.id: option for each, option in zip(decisions, choice, strict=True)}
        assert solution.accepts(proposal) == (choice in accepted)
