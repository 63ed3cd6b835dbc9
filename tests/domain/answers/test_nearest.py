"""The nearest acceptable proposal and the fitting options against brute force, on random puzzles.

Second method: every acceptable choice is listed by testing all choices against the forbidden combinations, and
priced by adding up, as the docstring of ``Solution.nearest`` says: changes, then marks lost, then cost.
"""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.domain.answers.decisions import Decision, Edit, Option
from trainer.domain.answers.solver import Solution, acceptable

Choice = tuple[int, ...]


def _decision(number: int, costs: list[int]) -> Decision:
    options = tuple(
        Option(id=str(option), label="", edits=(Edit(path=f"d{number}", value=option),), cost=cost)
        for option, cost in enumerate(costs)
    )
    return Decision(id=f"d{number}", subject="", question="", options=options)


def _puzzle(costs: list[list[int]], weights: list[int], allowed: set[Choice]) -> Solution:
    """A solution that accepts exactly the allowed choices: all others are forbidden as a whole."""
    sizes = [len(each) for each in costs]
    others = (each for each in product(*map(range, sizes)) if each not in allowed)
    forbidden = frozenset(frozenset(enumerate(each)) for each in others)
    return Solution(
        decisions=tuple(_decision(number, each) for number, each in enumerate(costs)),
        acceptable=acceptable(sizes, forbidden),
        weights=tuple(weights),
    )


def _named(choice: Choice) -> dict[str, str]:
    return {f"d{number}": str(option) for number, option in enumerate(choice)}


@st.composite
def _puzzles(draw: st.DrawFn) -> tuple[list[list[int]], list[int], set[Choice], Choice]:
    sizes = draw(st.lists(st.integers(1, 3), min_size=1, max_size=4))
    costs = [draw(st.lists(st.integers(0, 4), min_size=size, max_size=size)) for size in sizes]
    weights = draw(st.lists(st.integers(1, 4), min_size=len(sizes), max_size=len(sizes)))
    choices = list(product(*map(range, sizes)))
    allowed = draw(st.sets(st.sampled_from(choices), min_size=1))
    return costs, weights, allowed, draw(st.sampled_from(choices))


@settings(max_examples=150, deadline=None)
@given(_puzzles())
def test_the_nearest_has_fewest_changes_then_fewest_marks_lost_then_least_cost(
    puzzle: tuple[list[list[int]], list[int], set[Choice], Choice],
) -> None:
    costs, weights, allowed, chosen = puzzle

    def price(choice: Choice) -> tuple[int, int, int]:
        changed = [n for n, option in enumerate(choice) if option != chosen[n]]
        return len(changed), sum(weights[n] for n in changed), sum(costs[n][option] for n, option in enumerate(choice))

    near = _puzzle(costs, weights, allowed).nearest(_named(chosen))
    found = tuple(int(near[f"d{number}"]) for number in range(len(costs)))
    assert found in allowed
    assert price(found) == min(map(price, allowed))


@settings(max_examples=150, deadline=None)
@given(_puzzles())
def test_an_option_fits_where_it_is_acceptable_with_the_other_choices_as_they_are(
    puzzle: tuple[list[list[int]], list[int], set[Choice], Choice],
) -> None:
    costs, weights, allowed, chosen = puzzle
    solution = _puzzle(costs, weights, allowed)
    for place, options in enumerate(costs):
        varied = [(*chosen[:place], option, *chosen[place + 1 :]) for option in range(len(options))]
        expected = tuple(str(each[place]) for each in varied if each in allowed)
        assert solution.fitting(_named(chosen), f"d{place}") == expected


# By hand: d0 and d1 stand on 0; acceptable are a change of both, or of either alone.
BOTH, FIRST, SECOND = (1, 1), (1, 0), (0, 1)


@pytest.mark.parametrize(
    ("allowed", "weights", "costs", "nearest"),
    [
        # One change, though two would cost less.
        ({BOTH, FIRST}, [4, 1], [[9, 9], [9, 0]], FIRST),
        ({BOTH, SECOND}, [1, 4], [[9, 0], [9, 9]], SECOND),
        # One change that loses four marks before two that lose one each.
        ({(1, 0, 0), (0, 1, 1)}, [4, 1, 1], [[0, 9], [0, 0], [0, 0]], (1, 0, 0)),
        # Of two single changes the one that loses fewer marks, though it is dearer.
        ({FIRST, SECOND}, [4, 1], [[0, 0], [0, 9]], SECOND),
        # Of two that lose the same marks the cheaper.
        ({FIRST, SECOND}, [2, 2], [[0, 9], [0, 0]], SECOND),
        ({FIRST, SECOND}, [2, 2], [[0, 0], [0, 9]], FIRST),
    ],
)
def test_changes_come_before_marks_and_marks_before_cost(
    allowed: set[Choice], weights: list[int], costs: list[list[int]], nearest: Choice
) -> None:
    stands = (0,) * len(costs)
    assert _puzzle(costs, weights, allowed).nearest(_named(stands)) == _named(nearest)


def test_a_decision_that_is_not_asked_has_no_fitting_option() -> None:
    assert _puzzle([[0, 0]], [1], {(0,)}).fitting({"d0": "0"}, "d7") == ()
