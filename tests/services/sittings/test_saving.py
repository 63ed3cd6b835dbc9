"""Saving while somebody sits: the newest wins, late ones by rule, nothing after the end."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import timedelta

import pytest

from tests.services.sittings.world import NOON, PAPER, World, answers, arrange, here, right_answers
from trainer.persistence.tables.operation import AuditRow
from trainer.persistence.tables.sittings import SavedAnswerRow, SittingBreakRow, SittingRow
from trainer.services.sittings.answers import read
from trainer.services.sittings.clock import LATE_GRACE_S
from trainer.services.sittings.errors import NotYoursError, SittingError, SittingOverError
from trainer.services.sittings.records import Answers, Sitting
from trainer.services.sittings.starting import Starting
from trainer.services.sittings.working import Saved, SaveState, Stamp, Working

SECOND = 2
"""The short question of the paper."""


@pytest.fixture
def sitting(world: World) -> Sitting:
    return world.desk(Starting).start(here(), PAPER, 1, "")


def save(world: World, sitting: Sitting, value: str, sequence: int, *, sender: str = "page", base: int = 0) -> Saved:
    stamp = Stamp(sender=sender, sequence=sequence, base=base)
    return world.desk(Working).save(here(), sitting.id, SECOND, answers({"question": value}), stamp)


def stands(world: World) -> Mapping[str, str]:
    (row,) = world.rows(SavedAnswerRow)
    return json.loads(row.answers_json)


def test_what_is_saved_stands_there_with_its_time(world: World, sitting: Sitting) -> None:
    world.clock.pass_by(minutes=5)
    saved = save(world, sitting, "40 V", 1)
    assert (saved.state, saved.stands.saved_at) == (SaveState.SAVED, NOON + timedelta(minutes=5))
    assert world.desk(Working).item(here(), sitting.id, SECOND).answers.given == {"question": "40 V"}


def test_the_newest_sequence_wins_in_whatever_order_they_arrive(world: World, sitting: Sitting) -> None:
    save(world, sitting, "1 V", 1)
    save(world, sitting, "3 V", 3)
    assert save(world, sitting, "2 V", 2).state is SaveState.OLDER
    assert stands(world) == {"question": "3 V"}


def test_the_same_save_sent_again_is_acknowledged_again(world: World, sitting: Sitting) -> None:
    save(world, sitting, "1 V", 1)
    assert save(world, sitting, "1 V", 1).state is SaveState.SAVED
    assert stands(world) == {"question": "1 V"}


def test_the_same_number_with_other_answers_from_another_page_is_refused(world: World, sitting: Sitting) -> None:
    save(world, sitting, "1 V", 1, sender="one")
    assert save(world, sitting, "2 V", 1, sender="other").state is SaveState.OLDER
    assert stands(world) == {"question": "1 V"}


def test_another_device_takes_over_and_the_older_page_is_told(world: World, sitting: Sitting) -> None:
    save(world, sitting, "1 V", 1, sender="desk")
    assert save(world, sitting, "2 V", 2, sender="phone", base=1).state is SaveState.SAVED
    # The older page had counted far ahead while it was without network.
    told = save(world, sitting, "9 V", 9, sender="desk", base=0)
    assert (told.state, told.stands.sender) == (SaveState.OLDER, "phone")
    assert stands(world) == {"question": "2 V"}


def test_unfinished_answers_come_back_as_they_were_left_and_count_as_missing(world: World, sitting: Sitting) -> None:
    unfinished = Answers(given={}, certainty={"question": 2}, unfinished={"choice-question": ("4,",)})
    world.desk(Working).save(here(), sitting.id, SECOND, unfinished, Stamp(sender="p", sequence=1, base=0))
    (row,) = world.rows(SavedAnswerRow)
    view = world.desk(Working).item(here(), sitting.id, SECOND)
    assert view.answers == unfinished == read(view.saved)
    line = world.desk(Working).review(here(), sitting.id).lines[SECOND - 1]
    assert (line.unanswered, line.unfinished) == (("question",), ("question",))
    assert row.saved_at == NOON


def test_the_review_names_what_is_unanswered(world: World, sitting: Sitting) -> None:
    tasks = world.tasks(sitting.variant)
    given = right_answers(tasks[1])
    left_out = next(iter(given))
    partly = {name: value for name, value in given.items() if name != left_out}
    world.desk(Working).save(here(), sitting.id, 1, answers(partly), Stamp(sender="p", sequence=1, base=0))
    review = world.desk(Working).review(here(), sitting.id)
    assert review.lines[0].unanswered == (left_out,)
    others = sum(len(task.asks) for task in tasks.values())
    assert review.unanswered == 1 + others


def test_within_the_grace_an_answer_counts_and_is_marked_late(world: World, sitting: Sitting) -> None:
    world.clock.pass_by(hours=1, seconds=LATE_GRACE_S)
    assert save(world, sitting, "1 V", 1).state is SaveState.LATE
    (row,) = world.rows(SavedAnswerRow)
    assert row.late
    assert "sitting.saved_late" in [each.action for each in world.rows(AuditRow)]


def test_what_came_in_time_and_is_sent_again_after_the_end_stays_in_time(world: World, sitting: Sitting) -> None:
    world.clock.pass_by(minutes=59, seconds=59)
    save(world, sitting, "1 V", 1)
    world.clock.pass_by(seconds=3)
    assert save(world, sitting, "1 V", 1).state is SaveState.SAVED
    assert "sitting.saved_late" not in [each.action for each in world.rows(AuditRow)]


def test_after_the_grace_an_answer_is_refused_and_the_sitting_is_handed_in_by_time(
    world: World, sitting: Sitting
) -> None:
    save(world, sitting, "1 V", 1)
    world.clock.pass_by(hours=1, seconds=LATE_GRACE_S + 1)
    assert save(world, sitting, "2 V", 2).state is SaveState.OVER
    assert stands(world) == {"question": "1 V"}
    (row,) = world.rows(SittingRow)
    assert (row.state, row.handed_in_by, row.handed_in_at) == ("handed_in", "time", NOON + timedelta(hours=1))


def test_a_clock_set_back_by_two_hours_gives_no_more_than_the_hour(world: World, sitting: Sitting) -> None:
    world.clock.pass_by(minutes=50)
    assert save(world, sitting, "1 V", 1).left_s == 600
    world.clock.pass_by(hours=-2)
    assert save(world, sitting, "2 V", 2).left_s == 600
    world.clock.pass_by(minutes=10, seconds=LATE_GRACE_S + 1)
    assert save(world, sitting, "3 V", 3).state is SaveState.OVER
    assert "sitting.clock_set_back" in [each.action for each in world.rows(AuditRow)]


def test_rest_breaks_stop_the_clock_for_those_who_have_them_only(world: World, sitting: Sitting) -> None:
    with pytest.raises(SittingError, match="no rest break"):
        world.desk(Working).rest(here(), sitting.id)
    arrange(world.storage, "bob", rest_breaks_s=600)
    bobs = world.desk(Starting).start(here("bob"), PAPER, 1, "")
    world.clock.pass_by(minutes=10)
    world.desk(Working).rest(here("bob"), bobs.id)
    world.clock.pass_by(minutes=5)
    standing = world.desk(Working).go_on(here("bob"), bobs.id)
    assert (standing.left_s, standing.breaks_left_s) == (50 * 60, 300)
    (row,) = world.rows(SittingBreakRow)
    assert (row.began_at, row.ended_at) == (NOON + timedelta(minutes=10), NOON + timedelta(minutes=15))


def test_nothing_is_saved_or_shown_while_the_clock_stands(world: World) -> None:
    arrange(world.storage, "ann", rest_breaks_s=600)
    mine = world.desk(Starting).start(here(), PAPER, 1, "")
    world.desk(Working).rest(here(), mine.id)
    assert save(world, mine, "1 V", 1).state is SaveState.PAUSED
    with pytest.raises(SittingError, match="go on first"):
        world.desk(Working).item(here(), mine.id, 1)
    assert world.rows(SavedAnswerRow) == []


def test_a_flag_stays_until_it_is_taken_away(world: World, sitting: Sitting) -> None:
    world.desk(Working).flag(here(), sitting.id, 3, flagged=True)
    assert [each.item.flagged for each in world.desk(Working).review(here(), sitting.id).lines] == [
        False,
        False,
        True,
        False,
    ]
    world.desk(Working).flag(here(), sitting.id, 3, flagged=False)
    assert not any(each.item.flagged for each in world.desk(Working).review(here(), sitting.id).lines)


def test_another_persons_sitting_looks_as_if_it_were_not_there(world: World, sitting: Sitting) -> None:
    desk, bob = world.desk(Working), here("bob")
    stamp = Stamp(sender="p", sequence=1, base=0)
    for use in (
        lambda: desk.look(bob, sitting.id),
        lambda: desk.item(bob, sitting.id, 1),
        lambda: desk.review(bob, sitting.id),
        lambda: desk.flag(bob, sitting.id, 1, flagged=True),
        lambda: desk.rest(bob, sitting.id),
        lambda: desk.go_on(bob, sitting.id),
        lambda: desk.save(bob, sitting.id, 1, answers({}), stamp),
        lambda: desk.save(here(), sitting.id, 99, answers({}), stamp),
        lambda: desk.look(here(organisation="firm"), sitting.id),
    ):
        with pytest.raises(NotYoursError):
            use()


def test_after_the_end_no_item_is_shown(world: World, sitting: Sitting) -> None:
    world.clock.pass_by(hours=2)
    with pytest.raises(SittingOverError):
        world.desk(Working).item(here(), sitting.id, 1)


def test_no_answer_stands_in_the_audit_chain(world: World, sitting: Sitting) -> None:
    world.clock.pass_by(hours=1, seconds=3)
    save(world, sitting, "4321.5 V", 1)
    assert world.rows(AuditRow)
    assert not any("4321.5" in row.details_json for row in world.rows(AuditRow))


def test_a_page_that_goes_on_saving_after_the_end_is_refused_each_time_and_logged_once(
    world: World, sitting: Sitting
) -> None:
    save(world, sitting, "1 V", 1)
    world.clock.pass_by(hours=2)
    assert {save(world, sitting, f"{number} V", number).state for number in (2, 3, 4)} == {SaveState.OVER}
    assert [each.action for each in world.rows(AuditRow)].count("sitting.save_refused") == 1


def test_what_an_item_asks_is_told_to_its_owner_only(world: World, sitting: Sitting) -> None:
    desk = world.desk(Working)
    assert [each.id for each in desk.answerable(here(), sitting.id, SECOND).asks] == ["question"]
    for who, position in ((here("bob"), SECOND), (here(), 99)):
        with pytest.raises(NotYoursError):
            desk.answerable(who, sitting.id, position)
