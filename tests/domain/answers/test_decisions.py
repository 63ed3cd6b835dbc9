"""Proposals are checked as a whole, and put into a house without touching anything else of it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.domain.answers.toy import toy_decisions, toy_house
from trainer.domain.answers.decisions import Edit, ProposalError, apply, apply_edits, checked_proposal
from trainer.domain.supply import Earthing
from trainer.domain.vocabulary import Curve, EarthingSystem, RcdType

DECISIONS = toy_decisions()
CHOSEN = {"curve-b": "C", "type-up": "B", "type-a": "AC", "place-b": "own"}


def test_a_checked_proposal_has_the_order_of_the_decisions() -> None:
    assert list(checked_proposal(DECISIONS, CHOSEN)) == ["place-b", "type-a", "type-up", "curve-b"]
    assert checked_proposal(DECISIONS, CHOSEN) == CHOSEN


def test_each_problem_of_a_proposal_has_its_place_its_value_and_what_is_possible() -> None:
    with pytest.raises(ProposalError) as caught:
        checked_proposal(DECISIONS, {"typ-a": "A", "type-a": "D", "type-up": "A", "curve-b": "B"})
    told = {each.path: (each.value, each.problem) for each in caught.value.problems}
    assert list(told) == ["answers.typ-a", "answers.place-b", "answers.type-a"]
    assert told["answers.place-b"][1] == "no choice made"
    assert told["answers.type-a"][0] == "D"
    assert caught.value.problems[2].possible == tuple(each.id for each in DECISIONS[1].options)


def test_an_unknown_option_of_a_decision_is_refused() -> None:
    assert DECISIONS[3].option("C").edits[0].value is Curve.C
    assert DECISIONS[0].option("".join(list("own"))).id == "own"
    with pytest.raises(ProposalError) as caught:
        DECISIONS[3].option("D")
    assert [each.path for each in caught.value.problems] == ["answers.curve-b"]


def test_a_decision_of_a_single_option_says_what_it_sets() -> None:
    alone = replace(DECISIONS[3], options=DECISIONS[3].options[:1])
    assert alone.paths == DECISIONS[3].paths == ("devices.b.curve",)


def test_a_proposal_is_put_in_and_the_rest_stays_the_same() -> None:
    house = toy_house()
    done = apply(house, DECISIONS, CHOSEN)
    assert done.devices["b"] == replace(house.devices["b"], fed_by="main", curve=Curve.C)
    assert done.devices["a"].rcd_type is RcdType.AC
    assert done.devices["up"].rcd_type is RcdType.B
    assert (done.circuits, done.supply, done.earthing) == (house.circuits, house.supply, house.earthing)
    # The house itself is as it was.
    assert house == toy_house()


def test_paths_lead_to_single_records_to_nested_ones_and_to_whole_records() -> None:
    done = apply_edits(
        toy_house(),
        [
            Edit(path="supply.earthing_system", value=EarthingSystem.TT),
            Edit(path="earthing", value=Earthing(electrode_resistance_ohm=20.0)),
            Edit(path="earthing.electrode_resistance_ohm", value=21.0),
            Edit(path="title", value="Another"),
        ],
    )
    assert done.supply.earthing_system is EarthingSystem.TT
    assert (done.earthing.electrode_resistance_ohm, done.title) == (21.0, "Another")


@pytest.mark.parametrize("path", ["devices.a.colour", "devices.a.rcd_type.letter", "supply.colour"])
def test_a_path_that_is_not_there_is_an_error(path: str) -> None:
    with pytest.raises(AttributeError, match=path.rpartition(".")[2]):
        apply_edits(toy_house(), [Edit(path=path, value=1)])
