"""The solver against brute force, on random sets of forbidden combinations and on small houses."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.domain.answers.toy import SHARED_SUM, TOY_RULES, toy_decisions, toy_house
from tests.draws import UNHURRIED
from trainer.domain.answers.decisions import Decision, apply
from trainer.domain.answers.factored import best, contains, members
from trainer.domain.answers.solver import Solution, acceptable, solve
from trainer.domain.rules.registry import judge


@st.composite
def puzzles(draw: st.DrawFn) -> tuple[list[int], frozenset[frozenset[tuple[int, int]]]]:
    sizes = draw(st.lists(st.integers(1, 4), min_size=1, max_size=6))
    literal = st.integers(0, len(sizes) - 1).flatmap(lambda d: st.tuples(st.just(d), st.integers(0, sizes[d] - 1)))
    clause = st.lists(literal, min_size=1, max_size=3, unique_by=lambda each: each[0])
    clauses = draw(st.lists(clause.map(frozenset), max_size=14))
    return sizes, frozenset(clauses)


def by_brute_force(sizes: list[int], clauses: frozenset[frozenset[tuple[int, int]]]) -> set[tuple[int, ...]]:
    choices = product(*(range(size) for size in sizes))
    return {choice for choice in choices if not any(all(choice[d] == o for d, o in c) for c in clauses)}


@settings(UNHURRIED, max_examples=300)
@given(puzzles())
def test_the_factored_set_holds_exactly_what_brute_force_finds(
    puzzle: tuple[list[int], frozenset[frozenset[tuple[int, int]]]],
) -> None:
    sizes, clauses = puzzle
    expected = by_brute_force(sizes, clauses)
    found = acceptable(sizes, clauses)
    assert found.count == len(expected)
    listed = {tuple(m[d] for d in range(len(sizes))) for m in members(found)}
    assert listed == expected
    for choice in product(*(range(size) for size in sizes)):
        assert contains(found, choice) == (choice in expected)


@settings(UNHURRIED, max_examples=200)
@given(puzzles(), st.integers(0, 10_000))
def test_the_best_member_is_the_cheapest_by_brute_force(
    puzzle: tuple[list[int], frozenset[frozenset[tuple[int, int]]]], salt: int
) -> None:
    sizes, clauses = puzzle
    expected = by_brute_force(sizes, clauses)

    def cost(decision: int, option: int) -> tuple[int, ...]:
        return ((decision * 7 + option * 13 + salt) % 5, option)

    def total(choice: tuple[int, ...]) -> tuple[int, ...]:
        each = [cost(d, o) for d, o in enumerate(choice)]
        return tuple(sum(column) for column in zip(*each, strict=True))

    found = acceptable(sizes, clauses)
    if not expected:
        with pytest.raises(ValueError, match="empty"):
            best(found, cost, 2)
        return
    price, chosen = best(found, cost, 2)
    assert price == min(total(choice) for choice in expected)
    assert tuple(chosen[d] for d in range(len(sizes))) in expected


def accepted_by_judging_each(decisions: tuple[Decision, ...]) -> list[dict[str, str]]:
    accepted = []
    for choice in product(*([o.id for o in d.options] for d in decisions)):
        proposal = {d.id: o for d, o in zip(decisions, choice, strict=True)}
        findings = judge(apply(toy_house(), decisions, proposal), TOY_RULES)
        if not any(finding.fails for finding in findings):
            accepted.append(proposal)
    return accepted


@pytest.fixture
def solution() -> Solution:
    return solve(toy_house(), toy_decisions(), TOY_RULES)


def test_solving_with_open_attributes_equals_judging_every_proposal(solution: Solution) -> None:
    accepted = accepted_by_judging_each(toy_decisions())
    assert 0 < len(accepted) < solution.proposal_space
    assert solution.acceptable_count == len(accepted)
    for choice in product(*([o.id for o in d.options] for d in toy_decisions())):
        proposal = {d.id: o for d, o in zip(toy_decisions(), choice, strict=True)}
        assert solution.accepts(proposal) == (proposal in accepted)


def test_the_nearest_acceptable_proposal_changes_as_little_as_brute_force_can(
    solution: Solution,
) -> None:
    accepted = accepted_by_judging_each(toy_decisions())
    for choice in product(*([o.id for o in d.options] for d in toy_decisions())):
        proposal = {d.id: o for d, o in zip(toy_decisions(), choice, strict=True)}
        near = solution.nearest(proposal)
        changes = sum(near[d] != proposal[d] for d in proposal)
        least = min(sum(each[d] != proposal[d] for d in proposal) for each in accepted)
        assert near in accepted
        assert changes == least


def test_a_decision_weighs_as_much_as_the_worst_failure_it_can_cause(solution: Solution) -> None:
    weights = dict(zip([d.id for d in solution.decisions], solution.weights, strict=True))
    assert weights == {"place-b": 4, "type-a": 4, "type-up": 4, "curve-b": 1}


def test_moving_a_circuit_in_the_tree_is_a_decision_like_any_other(solution: Solution) -> None:
    crowded = {"type-up": "B", "type-a": "A", "place-b": "shared", "curve-b": "C"}
    assert not solution.accepts(crowded)
    assert solution.accepts({**crowded, "place-b": "own"})


def test_a_rule_that_sums_over_a_shared_device_reads_the_tree_anew() -> None:
    decisions = toy_decisions()
    found = solve(toy_house(), decisions, (SHARED_SUM,))
    assert found.acceptable_count == found.proposal_space // 2
