"""When a refresher is due and how it stands: functions of dates only; the day is an argument.

Days are those of UTC. What is due on a day is overdue from the next day on.
"""

from __future__ import annotations

from calendar import monthrange
from datetime import UTC, date, datetime, time, timedelta

from trainer.services.programmes.words import AssignmentState, Currency, ReminderKind, Standing


def months_after(day: date, months: int) -> date:
    """The same day of the month some months later, or the last day of a month that is too short.

    31 January and one month is 28 February, or the 29th in a leap year; 29 February and twelve
    months is 28 February. Count from the first day each time, never month by month, or the 31st is lost.
    """
    count = day.year * 12 + day.month - 1 + months
    year, month = divmod(count, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def day_of(moment: datetime) -> date:
    """The day of a moment, in UTC."""
    return moment.astimezone(UTC).date()


def start_of(day: date) -> datetime:
    """The first moment of a day, in UTC."""
    return datetime.combine(day, time(), tzinfo=UTC)


def valid_until(passed_at: datetime, cycle_months: int) -> datetime:
    """Until the start of which day what was passed counts: the day is counted in whole."""
    return start_of(months_after(day_of(passed_at), cycle_months))


def first_due(assigned_at: datetime, first_due_days: int) -> datetime:
    """By which day somebody who never passed has to."""
    return start_of(day_of(assigned_at) + timedelta(days=first_due_days))


def standing(
    state: AssignmentState, due_at: datetime, last_passed_at: datetime | None, warning_days: int, today: date
) -> Standing:
    """How an assignment stands on a day.

    Overdue after the due day; a warning from ``warning_days`` before it up to that day; before
    that done when it was ever passed, else due.
    """
    if state is not AssignmentState.ACTIVE:
        return Standing.EXCUSED if state is AssignmentState.EXCUSED else Standing.ENDED
    due_on = day_of(due_at)
    if today > due_on:
        return Standing.OVERDUE
    if today >= due_on - timedelta(days=warning_days):
        return Standing.WARNING
    return Standing.DUE if last_passed_at is None else Standing.DONE


_CURRENCY = {
    Standing.DUE: Currency.NEVER,
    Standing.WARNING: Currency.DUE_SOON,
    Standing.OVERDUE: Currency.OVERDUE,
    Standing.DONE: Currency.CURRENT,
    Standing.EXCUSED: Currency.EXCUSED,
    Standing.ENDED: Currency.NOT_REQUIRED,
}


def currency(stands: Standing) -> Currency:
    """How current somebody is at the objectives of an assignment that stands like this.

    One for one, so that the programme, the matrix and the gaps count the same people alike: overdue
    is whoever is past the due day, assessed before or not; not yet assessed is who still has time.
    """
    return _CURRENCY[stands]


_NEEDIEST_FIRST = (
    Currency.OVERDUE,
    Currency.DUE_SOON,
    Currency.NEVER,
    Currency.CURRENT,
    Currency.EXCUSED,
    Currency.NOT_REQUIRED,
)


def neediest(found: list[Currency]) -> Currency:
    """What counts where several programmes want one objective: whatever needs most to be done."""
    return min(found, key=_NEEDIEST_FIRST.index, default=Currency.NOT_REQUIRED)


def reminder_wanted(stands: Standing) -> ReminderKind | None:
    """Which reminder belongs to a standing; each goes out once for each due day."""
    return {
        Standing.DUE: ReminderKind.ASSIGNED,
        Standing.WARNING: ReminderKind.WARNING,
        Standing.OVERDUE: ReminderKind.OVERDUE,
    }.get(stands)
