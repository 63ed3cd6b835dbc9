"""Handing in and marking, once."""

from __future__ import annotations

import json
import threading
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import timedelta

import pytest

from tests.services.sittings.world import COLLEGE, NOON, PAPER, World, answers, here, right_answers
from trainer.domain.errors import Problem, TrainerError
from trainer.persistence.database import Database
from trainer.persistence.tables.operation import AuditRow
from trainer.persistence.tables.sittings import (
    DecisionOutcomeRow,
    GradingRow,
    ItemGradingRow,
    SittingObjectiveRow,
    SittingRow,
)
from trainer.services.papers.words import PaperMode, PaperState
from trainer.services.sittings.errors import NotYoursError
from trainer.services.sittings.finishing import Finishing
from trainer.services.sittings.records import Sitting
from trainer.services.sittings.results import Results
from trainer.services.sittings.starting import Starting
from trainer.services.sittings.working import Stamp, Working

FIFTY = 50


@pytest.fixture
def sitting(world: World) -> Sitting:
    return world.desk(Starting).start(here(), PAPER, 1, "")


def answer(world: World, sitting: Sitting, position: int, given: dict[str, str], **certainty: int) -> None:
    stamp = Stamp(sender="page", sequence=1, base=0)
    world.desk(Working).save(here(), sitting.id, position, answers(given, **certainty), stamp)


def answer_all(world: World, sitting: Sitting) -> None:
    for position, task in world.tasks(sitting.variant).items():
        answer(world, sitting, position, right_answers(task))


def test_fifty_submissions_at_once_make_one_grading(world: World, sitting: Sitting) -> None:
    answer_all(world, sitting)
    ready = threading.Barrier(FIFTY)

    def hand_in(_: int) -> str:
        ready.wait()
        return world.desk(Finishing).hand_in(here(), sitting.id).state.value

    with ThreadPoolExecutor(FIFTY) as pool:
        assert set(pool.map(hand_in, range(FIFTY))) == {"handed_in"}
    (grading,) = world.rows(GradingRow)
    assert (grading.number, grading.marks, grading.marks_available) == (1, 30, 30)
    assert len(world.rows(ItemGradingRow)) == 4
    actions = [row.action for row in world.rows(AuditRow)]
    assert [actions.count(each) for each in ("sitting.handed_in", "sitting.graded")] == [1, 1]


def test_all_right_earns_the_marks_of_the_blueprint_item_by_item(world: World, sitting: Sitting) -> None:
    answer_all(world, sitting)
    marked = world.desk(Finishing).hand_in(here(), sitting.id)
    # 12 + 5 + 6 + 7, as the slots of the paper say.
    assert (marked.marks, marked.marks_available, marked.safe_to_energise) == (30, 30, True)
    assert [row.marks for row in world.rows(ItemGradingRow)] == [12, 5, 6, 7]


def test_nothing_answered_earns_nothing_and_leaves_no_choice_in_the_figures(world: World, sitting: Sitting) -> None:
    marked = world.desk(Finishing).hand_in(here(), sitting.id)
    assert (marked.marks, marked.marks_available) == (0, 30)
    rows = world.rows(DecisionOutcomeRow)
    assert {(row.chosen, row.marks, row.misconception_id) for row in rows} == {(None, 0, None)}
    grade = json.loads(world.rows(ItemGradingRow)[0].grade_json)
    assert all(each["chosen"] == "" and each["unanswered"] for each in grade["decisions"])


def test_every_decision_has_its_outcome_and_objectives_are_summed(world: World, sitting: Sitting) -> None:
    answer_all(world, sitting)
    world.desk(Finishing).hand_in(here(), sitting.id)
    tasks = world.tasks(sitting.variant)
    rows = world.rows(DecisionOutcomeRow)
    assert len(rows) == sum(len(task.asks) or len(task.decisions) for task in tasks.values())
    assert {row.slot for row in rows} == {1, 2, 3, 4}
    aims = [
        objective for task in tasks.values() for each in (task.asks or task.decisions) for objective in each.objectives
    ]
    assert {row.objective_id: row.decisions for row in world.rows(SittingObjectiveRow)} == {
        name: aims.count(name) for name in aims
    }


def test_the_same_question_has_the_same_key_in_another_variant(world: World) -> None:
    ann = world.desk(Starting).start(here("ann"), PAPER, 1, "")
    bob = world.desk(Starting).start(here("bob"), PAPER, 1, "")
    world.desk(Finishing).hand_in(here("ann"), ann.id)
    world.desk(Finishing).hand_in(here("bob"), bob.id)
    keys = {
        each.id: {row.item_key for row in world.rows(DecisionOutcomeRow) if row.sitting_id == each.id and row.slot == 2}
        for each in (ann, bob)
    }
    assert keys[ann.id] == keys[bob.id] == {"question.voltage_at_the_electrode"}


def test_a_marking_that_was_cut_off_is_made_up_by_the_next_look(world: World, sitting: Sitting) -> None:
    answer_all(world, sitting)
    _cut_off_after_the_hand_in(world, sitting)
    assert world.rows(GradingRow) == []
    assert not world.desk(Results).result(here(), sitting.id).is_told
    assert world.rows(GradingRow) == [], "whoever handed in has some seconds for it"
    world.clock.pass_by(seconds=30)
    world.desk(Results).result(here(), sitting.id)
    assert [row.marks for row in world.rows(GradingRow)] == [30]


def test_the_command_ends_what_is_over_and_marks_what_is_not(world: World, sitting: Sitting) -> None:
    answer_all(world, sitting)
    bobs = world.desk(Starting).start(here("bob"), PAPER, 1, "")
    _cut_off_after_the_hand_in(world, bobs, "bob")
    assert world.desk(Finishing).close_due() == 1
    world.clock.pass_by(hours=2)
    assert world.desk(Finishing).close_due() == 1
    assert world.desk(Finishing).close_due() == 0
    rows = {row.member_id: row for row in world.rows(SittingRow)}
    assert (rows["ann"].handed_in_by, rows["ann"].handed_in_at) == ("time", NOON + timedelta(hours=1))
    assert (rows["ann"].marks, rows["bob"].marks) == (30, 0)


def _cut_off_after_the_hand_in(world: World, sitting: Sitting, name: str = "ann") -> None:
    class Cut(Finishing):
        def marked(self, _sitting: Sitting) -> Sitting:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        world.desk(Cut).hand_in(here(name), sitting.id)


def test_the_result_is_told_after_the_release_and_at_once_in_practice(world: World, sitting: Sitting) -> None:
    answer_all(world, sitting)
    world.desk(Finishing).hand_in(here(), sitting.id)
    desk = world.desk(Results)
    assert desk.result(here(), sitting.id).lines == ()
    with pytest.raises(NotYoursError):
        desk.item(here(), sitting.id, 1)
    world.set_paper(mode=PaperMode.PRACTICE.value)
    assert desk.result(here(), sitting.id).marks == (30, 30)
    world.set_paper(mode=PaperMode.GRADED.value, state=PaperState.RELEASED.value)
    assert desk.item(here(), sitting.id, 1).line.counted.marks == 12
    with pytest.raises(NotYoursError):
        desk.result(here("bob"), sitting.id)


@pytest.mark.parametrize("planted", [TrainerError(Problem(path="task", problem="planted")), LookupError("planted")])
def test_what_cannot_be_closed_does_not_hold_up_the_others(world: World, sitting: Sitting, planted: Exception) -> None:
    world.desk(Starting).start(here("bob"), PAPER, 1, "")
    world.clock.pass_by(hours=2)

    class Breaks(Finishing):
        def _graded(self, item, saved):
            if item.content_hash in broken:
                raise planted
            return super()._graded(item, saved)

    with world.storage.database.reading() as session:
        from sqlalchemy import select

        from trainer.persistence.tables.sittings import SittingItemRow

        broken = set(
            session.scalars(select(SittingItemRow.content_hash).where(SittingItemRow.sitting_id == sitting.id))
        )
    assert world.desk(Breaks).close_due() == 1


def test_more_sittings_than_are_read_at_once_hide_nobody(
    world: World, sitting: Sitting, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("trainer.services.sittings.finishing._AT_ONCE", 1)
    world.clock.pass_by(minutes=10)
    world.desk(Starting).start(here("bob"), PAPER, 1, "")
    world.clock.pass_by(hours=2)

    class Stuck(Finishing):
        def _closed(self, each: Sitting) -> bool:
            return each.id != sitting.id and super()._closed(each)

    assert world.desk(Stuck).close_due() == 1
    assert {row.member_id: row.state for row in world.rows(SittingRow)} == {"ann": "running", "bob": "handed_in"}


def test_grading_again_gives_another_number_beside_the_first(world: World, sitting: Sitting) -> None:
    answer_all(world, sitting)
    marked = world.desk(Finishing).hand_in(here(), sitting.id)
    desk = world.desk(Finishing)
    again = desk.grading_of(marked, 2, reason="a rule was corrected", graded_by="ann")
    with world.desk(Finishing).storage.writing() as stored:
        assert stored.gradings.record(marked, again)
        assert not stored.gradings.record(marked, replace(again, id="other"))
    assert [row.number for row in world.rows(GradingRow)] == [1, 2]
    assert world.rows(SittingRow)[0].grading_number == 2
    assert len(world.rows(DecisionOutcomeRow)) == len(again.outcomes)


def test_a_sitting_without_a_deadline_ends_when_the_paper_is_closed(world: World) -> None:
    world.set_paper(time_limit_s=None)
    mine = world.desk(Starting).start(here(), PAPER, 1, "")
    world.clock.pass_by(days=3)
    assert world.desk(Working).look(here(), mine.id).sitting.is_open
    assert world.desk(Finishing).close_due() == 0
    world.set_paper(state=PaperState.CLOSED.value)
    assert world.desk(Finishing).close_due() == 1
    (row,) = world.rows(SittingRow)
    assert (row.state, row.handed_in_by, row.handed_in_at) == ("handed_in", "staff", NOON + timedelta(days=3))


def test_a_look_of_the_staff_at_sittings_that_go_on_changes_nothing(
    world: World, sitting: Sitting, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The page is loaded every few seconds while hundreds sit; each change would wait for the disk."""
    monkeypatch.setattr(Database, "writing", None)
    assert world.desk(Finishing).end_of_paper(COLLEGE, PAPER) == []


def test_the_end_of_a_paper_ends_what_is_over_and_names_what_is_to_be_marked(world: World, sitting: Sitting) -> None:
    desk = world.desk(Finishing)
    assert desk.end_of_paper(COLLEGE, PAPER) == []
    world.clock.pass_by(hours=2)
    assert [each.id for each in desk.end_of_paper(COLLEGE, PAPER)] == [sitting.id]
    assert [each.id for each in desk.end_of_paper(COLLEGE, PAPER)] == [sitting.id]
    desk.marked(desk.end_of_paper(COLLEGE, PAPER)[0])
    assert desk.end_of_paper(COLLEGE, PAPER) == []


@pytest.fixture
def bobs_waits(world: World) -> None:
    """Another sitting of the paper that was handed in and is not marked yet."""
    bobs = world.desk(Starting).start(here("bob"), PAPER, 1, "")
    with world.storage.database.writing() as session:
        row = session.get(SittingRow, bobs.id)
        row.state, row.handed_in_at, row.handed_in_by = "handed_in", NOON, "learner"


@pytest.mark.usefixtures("bobs_waits")
def test_while_another_waits_to_be_marked_a_hand_in_leaves_the_marking_to_the_runner(
    world: World, sitting: Sitting
) -> None:
    answer_all(world, sitting)
    assert world.desk(Finishing).hand_in(here(), sitting.id).state.value == "handed_in"
    assert world.rows(GradingRow) == []
    assert world.desk(Finishing).close_due() == 2
    assert {each.sitting_id: each.marks for each in world.rows(GradingRow)}[sitting.id] == 30


@pytest.mark.usefixtures("bobs_waits")
def test_a_paper_of_practice_is_marked_at_once_whoever_else_waits(world: World, sitting: Sitting) -> None:
    world.set_paper(mode=PaperMode.PRACTICE.value)
    world.desk(Finishing).hand_in(here(), sitting.id)
    assert [each.sitting_id for each in world.rows(GradingRow)] == [sitting.id]


def test_while_a_runner_is_at_work_it_does_the_marking(world: World, sitting: Sitting) -> None:
    desk = replace(world.desk(Finishing), is_runner_at_work=lambda: True)
    answer_all(world, sitting)
    assert desk.hand_in(here(), sitting.id).state.value == "handed_in"
    assert world.rows(GradingRow) == []
    assert world.desk(Finishing).close_due() == 1
    assert [each.marks for each in world.rows(GradingRow)] == [30]


def test_a_paper_of_practice_is_marked_at_once_also_while_a_runner_is_at_work(world: World, sitting: Sitting) -> None:
    world.set_paper(mode=PaperMode.PRACTICE.value)
    replace(world.desk(Finishing), is_runner_at_work=lambda: True).hand_in(here(), sitting.id)
    assert [each.sitting_id for each in world.rows(GradingRow)] == [sitting.id]
