"""Due days, months and standings, against the calendar and a general-purpose library's rule."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.draws import UNHURRIED
from trainer.services.programmes.dates import (
    currency,
    first_due,
    months_after,
    neediest,
    reminder_wanted,
    standing,
    valid_until,
)
from trainer.services.programmes.words import AssignmentState, Currency, ReminderKind, Standing

DAYS = st.dates(min_value=date(1990, 1, 1), max_value=date(2100, 12, 31))


@pytest.mark.parametrize(
    ("day", "months", "expected"),
    [
        # Read off a calendar.
        (date(2026, 1, 31), 1, date(2026, 2, 28)),
        (date(2028, 1, 31), 1, date(2028, 2, 29)),
        (date(2026, 1, 31), 2, date(2026, 3, 31)),
        (date(2026, 1, 31), 3, date(2026, 4, 30)),
        (date(2028, 2, 29), 12, date(2029, 2, 28)),
        (date(2028, 2, 29), 48, date(2032, 2, 29)),
        (date(2026, 12, 31), 2, date(2027, 2, 28)),
        (date(2026, 8, 31), 6, date(2027, 2, 28)),
        (date(2026, 11, 2), 12, date(2027, 11, 2)),
        # 2100 is no leap year: Gregorian calendar, centuries not divisible by 400.
        (date(2096, 2, 29), 48, date(2100, 2, 28)),
    ],
)
def test_months_are_added_by_the_calendar(day: date, months: int, expected: date) -> None:
    assert months_after(day, months) == expected


@UNHURRIED
@given(DAYS, st.integers(0, 240))
def test_months_agree_with_numpy(day: date, months: int) -> None:
    """A second method: numpy's datetime64[M] for the month, its length from the first day of the next one."""
    import numpy as np

    month = np.datetime64(day, "M") + np.timedelta64(months, "M")
    length = int(((month + np.timedelta64(1, "M")).astype("datetime64[D]") - month.astype("datetime64[D]")).astype(int))
    expected = month.astype("datetime64[D]") + np.timedelta64(min(day.day, length) - 1, "D")
    assert months_after(day, months) == expected.astype(date)


def test_twelve_cycles_from_the_31st_end_on_the_31st_again() -> None:
    first = date(2026, 1, 31)
    ends = [months_after(first, number) for number in range(13)]
    assert [each.day for each in ends] == [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31, 31]


def test_what_was_passed_late_in_the_evening_counts_from_that_day_in_utc() -> None:
    assert valid_until(datetime(2026, 3, 31, 23, 59, tzinfo=UTC), 1) == datetime(2026, 4, 30, tzinfo=UTC)
    from zoneinfo import ZoneInfo

    # 00:30 in London in summer time is 23:30 UTC of the day before.
    summer = datetime(2026, 7, 1, 0, 30, tzinfo=ZoneInfo("Europe/London"))
    assert valid_until(summer, 12) == datetime(2027, 6, 30, tzinfo=UTC)


def test_a_year_fast_forward_goes_from_due_to_done_to_warning_to_overdue() -> None:
    assigned = datetime(2026, 1, 10, 9, 0, tzinfo=UTC)
    due = first_due(assigned, 30)
    assert due.date() == date(2026, 2, 9)
    passed = datetime(2026, 2, 1, 15, 0, tzinfo=UTC)
    seen: list[tuple[date, Standing]] = []
    day = assigned.date()
    while day <= date(2027, 2, 5):
        is_passed = day > passed.date()
        stands = standing(
            AssignmentState.ACTIVE,
            valid_until(passed, 12) if is_passed else due,
            passed if is_passed else None,
            20,
            day,
        )
        if not seen or seen[-1][1] is not stands:
            seen.append((day, stands))
        day += timedelta(days=1)
    # By hand: warning 20 days before 9 February and 1 February; overdue from the day after.
    assert seen == [
        (date(2026, 1, 10), Standing.DUE),
        (date(2026, 1, 20), Standing.WARNING),
        (date(2026, 2, 2), Standing.DONE),
        (date(2027, 1, 12), Standing.WARNING),
        (date(2027, 2, 2), Standing.OVERDUE),
    ]


@UNHURRIED
@given(DAYS, st.integers(0, 400), st.integers(-800, 800))
def test_an_excuse_stands_whatever_the_day(due: date, warning: int, away: int) -> None:
    at = datetime(due.year, due.month, due.day, tzinfo=UTC)
    for state, stands in ((AssignmentState.EXCUSED, Standing.EXCUSED), (AssignmentState.ENDED, Standing.ENDED)):
        assert standing(state, at, None, warning, due + timedelta(days=away)) is stands


def test_each_standing_of_a_programme_is_one_state_of_the_matrix_so_that_both_count_alike() -> None:
    assert {each: currency(each) for each in Standing} == {
        Standing.DUE: Currency.NEVER,
        Standing.WARNING: Currency.DUE_SOON,
        Standing.OVERDUE: Currency.OVERDUE,
        Standing.DONE: Currency.CURRENT,
        Standing.EXCUSED: Currency.EXCUSED,
        Standing.ENDED: Currency.NOT_REQUIRED,
    }


def test_of_several_programmes_the_neediest_counts() -> None:
    assert neediest([Currency.CURRENT, Currency.OVERDUE, Currency.NEVER]) is Currency.OVERDUE
    assert neediest([Currency.EXCUSED, Currency.CURRENT]) is Currency.CURRENT
    assert neediest([]) is Currency.NOT_REQUIRED


def test_only_what_wants_doing_is_reminded_of() -> None:
    assert [reminder_wanted(each) for each in Standing] == [
        ReminderKind.ASSIGNED,
        ReminderKind.WARNING,
        ReminderKind.OVERDUE,
        None,
        None,
        None,
    ]
