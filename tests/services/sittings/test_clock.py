"""The clock of a sitting, worked out by hand; no test reads a clock.

Source for adjustable time: WCAG 2.2, success criterion 2.2.1 (time can be extended for those who need it).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from tests.services.sittings.world import NOON, paper
from trainer.services.papers.words import SittingState
from trainer.services.sittings.clock import (
    LATE_GRACE_S,
    WARNINGS_S,
    breaks_left_s,
    ends_at,
    is_late,
    is_over,
    left_s,
    on_the_clock,
    time_given,
    with_break_ended,
)
from trainer.services.sittings.records import Needs, Sitting

HOUR = timedelta(hours=1)


def minutes(number: float) -> timedelta:
    return timedelta(minutes=number)


def sitting(**values: object) -> Sitting:
    usual = {
        "id": "s",
        "organisation_id": "college",
        "member_id": "ann",
        "paper_id": "paper",
        "assignment_id": None,
        "number": 1,
        "candidate_number": "12345",
        "variant": 1,
        "seed": 1,
        "state": SittingState.RUNNING,
        "started_at": NOON,
        "deadline_at": NOON + HOUR,
        "paused_at": None,
        "paused_s": 0,
        "extra_time_s": 0,
        "larger_text": False,
        "last_seen_at": NOON,
    }
    return Sitting(**{**usual, **values})


def test_an_hour_with_a_quarter_of_extra_time_ends_after_seventy_five_minutes() -> None:
    given = time_given(paper(time_limit_s=3600), Needs(extra_time_percent=25), NOON)
    assert given.deadline_at == NOON + minutes(75)
    assert given.extra_time_s == 900


def test_extra_time_is_rounded_up_to_a_whole_second() -> None:
    # 10 % of 61 s are 6.1 s.
    assert time_given(paper(time_limit_s=61), Needs(extra_time_percent=10), NOON).extra_time_s == 7


def test_whoever_starts_late_ends_with_the_window() -> None:
    closing = paper(time_limit_s=3600, closes_at=NOON + minutes(90))
    assert time_given(closing, Needs(), NOON + minutes(45)).deadline_at == NOON + minutes(90)


def test_extra_time_moves_the_end_of_the_window_too() -> None:
    closing = paper(time_limit_s=3600, closes_at=NOON + minutes(60))
    assert time_given(closing, Needs(extra_time_percent=50), NOON).deadline_at == NOON + minutes(90)


def test_extra_time_is_a_share_of_a_limit_so_that_without_one_the_window_ends_as_it_stands() -> None:
    given = time_given(paper(time_limit_s=None, closes_at=NOON + minutes(90)), Needs(extra_time_percent=25), NOON)
    assert (given.deadline_at, given.extra_time_s) == (NOON + minutes(90), 0)


def test_without_limit_and_window_there_is_no_deadline() -> None:
    given = time_given(paper(time_limit_s=None), Needs(extra_time_percent=25), NOON)
    assert given.deadline_at is None
    assert left_s(sitting(deadline_at=None), NOON) is None
    assert not is_over(sitting(deadline_at=None), NOON + 1000 * HOUR)


def test_an_answer_is_late_after_the_deadline_and_refused_after_the_grace() -> None:
    end = NOON + HOUR
    grace = timedelta(seconds=30)
    assert grace.total_seconds() == LATE_GRACE_S
    assert not is_late(sitting(), end - timedelta(seconds=1))
    assert not is_late(sitting(), end)
    assert is_late(sitting(), end + timedelta(seconds=1))
    assert not is_over(sitting(), end + grace)
    assert is_over(sitting(), end + grace + timedelta(seconds=1))


def test_whoever_sits_is_warned_ten_minutes_five_and_one_before_the_end() -> None:
    # docs/sittings.md; common practice where papers are sat.
    assert WARNINGS_S == (10 * 60, 5 * 60, 60)


def test_once_the_time_is_up_nothing_is_left() -> None:
    end = NOON + HOUR
    left = [left_s(sitting(), end + timedelta(seconds=late)) for late in (-2, -1, -0.5, 0, 1, 3600)]
    assert left == [2, 1, 0, 0, 0, 0]


def test_a_rest_break_moves_the_deadline_by_as_long_as_it_lasted() -> None:
    resting = sitting(state=SittingState.PAUSED, paused_at=NOON + minutes(10), rest_breaks_s=900)
    going_on = with_break_ended(resting, NOON + minutes(15))
    assert going_on.deadline_at == NOON + minutes(65)
    assert going_on.paused_s == 300
    assert breaks_left_s(going_on, NOON + minutes(15)) == 600


def test_while_the_clock_stands_the_time_left_stays() -> None:
    resting = sitting(state=SittingState.PAUSED, paused_at=NOON + minutes(10), rest_breaks_s=900)
    assert left_s(resting, NOON + minutes(10)) == left_s(resting, NOON + minutes(20)) == 50 * 60


def test_a_break_that_is_used_up_lets_the_clock_run_again() -> None:
    resting = sitting(state=SittingState.PAUSED, paused_at=NOON + minutes(10), rest_breaks_s=600)
    assert ends_at(resting, NOON + 2 * HOUR) == NOON + minutes(70)
    assert with_break_ended(resting, NOON + minutes(40)).deadline_at == NOON + minutes(70)


def test_a_second_break_has_what_the_first_one_left() -> None:
    # Of fifteen minutes ten were used: of the next ten minutes five count.
    resting = sitting(state=SittingState.PAUSED, paused_at=NOON, rest_breaks_s=900, paused_s=600)
    assert ends_at(resting, NOON + minutes(10)) == NOON + minutes(65)
    assert with_break_ended(resting, NOON + minutes(10)).paused_s == 900
    # Twice five minutes are ten.
    again = replace(resting, paused_s=300)
    assert with_break_ended(again, NOON + minutes(5)).paused_s == 600


@pytest.mark.parametrize(("allowed_s", "used_s"), [(600, 600), (600, 900), (0, 0)])
def test_a_break_beyond_what_is_allowed_stops_the_clock_for_nothing(allowed_s: int, used_s: int) -> None:
    # Used up, allowed less since it was used, or never allowed at all.
    resting = sitting(state=SittingState.PAUSED, paused_at=NOON, rest_breaks_s=allowed_s, paused_s=used_s)
    assert breaks_left_s(resting, NOON + minutes(5)) == 0
    assert ends_at(resting, NOON + minutes(5)) == NOON + HOUR
    assert with_break_ended(resting, NOON + minutes(5)).paused_s == used_s


def test_a_break_that_began_on_a_faster_clock_has_stopped_nothing_yet() -> None:
    began = NOON + minutes(10)
    resting = sitting(state=SittingState.PAUSED, paused_at=began, rest_breaks_s=900)
    assert ends_at(resting, began - timedelta(seconds=2)) == NOON + HOUR
    assert breaks_left_s(resting, began - timedelta(seconds=2)) == 900


@pytest.mark.parametrize("back", [minutes(1), HOUR, timedelta(days=30)])
def test_a_clock_set_back_leaves_as_much_time_as_there_was(back: timedelta) -> None:
    seen = sitting(last_seen_at=NOON + minutes(50))
    looked = on_the_clock(seen, NOON + minutes(50) - back)
    assert left_s(looked, NOON + minutes(50) - back) == 10 * 60


def test_a_clock_set_back_again_and_again_never_lengthens_the_sitting() -> None:
    now, running, worked = NOON, sitting(), timedelta()
    for _ in range(30):
        worked += minutes(1)
        now += minutes(1)
        running = on_the_clock(running, now)
        now -= minutes(7)
        running = on_the_clock(running, now)
    assert left_s(running, now) == (HOUR - worked).total_seconds()


def test_a_clock_set_back_in_a_break_does_not_lengthen_it_either() -> None:
    resting = sitting(
        state=SittingState.PAUSED, paused_at=NOON + minutes(10), rest_breaks_s=900, last_seen_at=NOON + minutes(15)
    )
    back = on_the_clock(resting, NOON - HOUR)
    assert breaks_left_s(back, NOON - HOUR) == 600
    assert left_s(back, NOON - HOUR) == 50 * 60


@pytest.mark.parametrize(("back_s", "moved_s"), [(0, 0), (1, 0), (2, 0), (3, 3)])
def test_two_servers_that_differ_by_up_to_two_seconds_move_nothing(back_s: int, moved_s: int) -> None:
    seen = sitting(last_seen_at=NOON + minutes(5))
    now = NOON + minutes(5) - timedelta(seconds=back_s)
    looked = on_the_clock(seen, now)
    assert looked.deadline_at == NOON + HOUR - timedelta(seconds=moved_s)
    assert looked.last_seen_at == (now if moved_s else seen.last_seen_at)


def test_a_clock_set_forward_ends_the_time_and_going_back_does_not_give_it_again() -> None:
    moment: datetime = NOON + minutes(40)
    looked = on_the_clock(sitting(), moment)
    back = on_the_clock(looked, NOON + minutes(1))
    assert left_s(back, NOON + minutes(1)) == 20 * 60
    assert replace(back, last_seen_at=None) != back
