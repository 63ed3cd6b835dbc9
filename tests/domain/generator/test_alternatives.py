"""Combinations of a circuit's options, judged in one go, against each judged by itself on a closed house."""

from __future__ import annotations

from itertools import product

import pytest

from trainer.domain.answers.decisions import apply_edits
from trainer.domain.generator.alternatives import CIRCUIT_KINDS, keep_clear, of_circuit
from trainer.domain.generator.choosing import candidates
from trainer.domain.generator.draft import Draft
from trainer.domain.generator.house import build_house
from trainer.domain.generator.offers import Offer
from trainer.domain.generator.plan import draw_focus, draw_plan, feasible_traps
from trainer.domain.generator.randomness import Draws
from trainer.domain.generator.sizing import SIZING_RULES, NoCableError
from trainer.domain.limits import limits_for
from trainer.domain.vocabulary import DEFAULT_EDITION, Outcome
from trainer.services.scenarios import scenarios

LIMITS = limits_for(DEFAULT_EDITION)


def built(seed: int, level: int) -> Draft:
    """A house of a seed, before anything of it was proven."""

    def draws(section: str) -> Draws:
        return Draws(seed, f"{level}/{section}", "test")

    data = scenarios()
    trap, premises = draw_focus(draws("focus"), feasible_traps(level, None, data))
    return build_house(draw_plan(draws("plan"), level, trap, premises, data, 0), data, draws, LIMITS)


def fails(draft: Draft, role: str, offers: list[Offer], chosen: tuple[int, ...]) -> bool:
    """Whether a rule of the cable fails once all of these options are put into the house."""
    options = [offer.decision.options[number] for offer, number in zip(offers, chosen, strict=True)]
    house = apply_edits(draft.house(), [edit for option in options for edit in option.edits])
    verdicts = [rule.judge(house.circuits[role], house, LIMITS) for rule in SIZING_RULES]
    return any(verdict is not None and verdict.outcome is Outcome.DOES_NOT_COMPLY for verdict in verdicts)


@pytest.mark.parametrize("level", [2, 3, 4, 5])
def test_a_combination_fails_in_one_go_exactly_where_it_fails_by_itself(level: int) -> None:
    compared = failing = 0
    for seed in range(12):
        try:
            draft = built(seed, level)
            offers = [each for many in candidates(draft) for each in many if each.kind in CIRCUIT_KINDS]
            found, _ = keep_clear(draft, offers, LIMITS)
        except NoCableError:
            continue
        for role, table in found.items():
            own = of_circuit(offers, role)
            every = list(product(*(range(len(each.decision.options)) for each in own)))
            assert sorted(table) == every
            for chosen in every:
                assert table[chosen] is fails(draft, role, own, chosen), (seed, role, chosen)
                compared, failing = compared + 1, failing + table[chosen]
    assert compared > 100
    assert 0 < failing < compared


def test_a_cable_that_was_moved_leaves_no_combination_to_rounding() -> None:
    moved = 0
    for seed in range(30):
        draft = built(seed, 2)
        offers = [each for many in candidates(draft) for each in many if each.kind in CIRCUIT_KINDS]
        try:
            _, was_moved = keep_clear(draft, offers, LIMITS)
        except NoCableError:
            continue
        moved += was_moved
        # Whatever the length now is, a second look finds nothing more to move.
        before = dict(draft.circuits)
        assert keep_clear(draft, offers, LIMITS)[1] is False
        assert draft.circuits == before
    assert moved
