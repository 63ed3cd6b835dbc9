"""Sittings on paper, entered while time passes."""

from __future__ import annotations

import pytest

from tests.services.sittings.world import PAPER, World, answers, here, right_answers
from trainer.persistence.tables.sittings import GradingRow, SittingRow
from trainer.services.sittings.on_paper import EnteredMeanwhileError, OnPaper


def test_what_stands_on_paper_is_entered_and_marked_by_a_clock_that_goes_on(world: World) -> None:
    def ticking():
        world.clock.pass_by(milliseconds=1)
        return world.clock.now

    desk = world.desk(OnPaper)
    object.__setattr__(desk, "now", ticking)
    given = {position: answers(right_answers(task)) for position, task in world.tasks(1).items()}
    sitting = desk.enter(here("staff"), PAPER, "ann", 1, given)
    assert sitting.handed_in_at == sitting.started_at
    assert sitting.marks == sitting.marks_available
    assert len(world.rows(GradingRow)) == 1


def test_of_two_who_hand_in_one_entry_at_once_only_one_makes_a_sitting_where_more_attempts_are_allowed(
    world: World,
) -> None:
    world.set_paper(attempts_allowed=2)
    desk = world.desk(OnPaper)
    following = desk.following(here("staff"), PAPER, "ann")
    assert following == 1
    desk.enter(here("staff"), PAPER, "ann", 1, {}, number=following)
    with pytest.raises(EnteredMeanwhileError, match="handed in meanwhile"):
        desk.enter(here("staff"), PAPER, "ann", 1, {}, number=following)
    assert len(world.rows(SittingRow)) == 1
    assert desk.following(here("staff"), PAPER, "ann") == 2
