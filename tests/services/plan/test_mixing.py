"""Sets of tasks, mixed with look-alikes."""

from __future__ import annotations

import pytest

from trainer.domain.questions.registry import family_of
from trainer.services.objectives import objectives
from trainer.services.plan.mixing import LENGTHS, family_for, look_alikes, mixed


@pytest.mark.parametrize("objective_id", sorted(objectives()))
def test_every_objective_has_two_look_alikes_of_its_own(objective_id: str) -> None:
    found = look_alikes(objective_id)
    assert len(found) == 2
    assert objective_id not in found
    assert set(found) <= set(objectives())


def test_look_alikes_share_what_people_confuse() -> None:
    """Common practice: isolation is mixed up at inverters and at cars; standing direct current with leakage."""
    assert "LO18" in look_alikes("LO46")
    assert "LO03" in look_alikes("LO04")


@pytest.mark.parametrize("length", LENGTHS)
def test_a_set_holds_its_objective_at_every_other_place(length: int) -> None:
    order = mixed("LO04", length, seed=7)
    assert len(order) == length
    assert all(each == "LO04" for each in order[::2])
    assert all(each in look_alikes("LO04") for each in order[1::2])


def test_the_same_seed_gives_the_same_set() -> None:
    assert mixed("LO12", 10, 5) == mixed("LO12", 10, 5)


def test_a_family_is_not_asked_twice_in_a_row_where_there_is_another() -> None:
    first = family_for("LO04", 3)
    assert family_for("LO04", 3, (first,)) != first
    assert "LO04" in family_of(family_for("LO04", 9)).objectives
    # One family only: better the same again than nothing.
    assert family_for("LO21", 1, (family_for("LO21", 1),)) == family_for("LO21", 1)
