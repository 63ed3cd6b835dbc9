"""Sittings on paper, entered while time passes."""

from __future__ import annotations

from tests.services.sittings.world import PAPER, World, answers, here, right_answers
from trainer.persistence.tables.sittings import GradingRow
from trainer.services.sittings.on_paper import OnPaper


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
