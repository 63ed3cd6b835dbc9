"""The clock of a sitting: from the time limit, the window, extra time and rest breaks; the server's time decides.

A deadline is set once, at the start. It moves later only by a rest break that ends, and earlier
where the server's clock is found to have been set back. Nothing here reads a clock.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from trainer.services.papers.records import Paper
from trainer.services.papers.words import SittingState
from trainer.services.sittings.records import Needs, Sitting

LATE_GRACE_S = 30
"""An answer that arrives this long after the deadline still counts and is marked late."""
CLOCK_SLACK_S = 2
"""By how much two servers' clocks may differ without being taken for a clock that was set back."""
WARNINGS_S = (600, 300, 60)


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeGiven:
    """When a sitting ends, and how much of that is extra time."""

    deadline_at: datetime | None
    extra_time_s: int


def time_given(paper: Paper, needs: Needs, started_at: datetime) -> TimeGiven:
    """The time that a person gets.

    extra = limit * percent / 100, rounded up to whole seconds. The sitting ends after limit +
    extra, or when the window ends, whichever is sooner; extra time moves the window's end too,
    or it would be worth nothing to whoever starts last.
    """
    limit = paper.time_limit_s
    extra_s = 0 if limit is None else -(-limit * needs.extra_time_percent // 100)
    extra = timedelta(seconds=extra_s)
    ends = [] if limit is None else [started_at + timedelta(seconds=limit) + extra]
    if paper.closes_at is not None:
        ends.append(paper.closes_at + extra)
    return TimeGiven(deadline_at=min(ends, default=None), extra_time_s=extra_s)


def on_the_clock(sitting: Sitting, now: datetime) -> Sitting:
    """The sitting after a look at the clock: what is left never grows because the clock was set back.

    Where ``now`` lies before the last look by more than the slack, the deadline, and a break that
    runs, move back by as much; so what was left then is left now.
    """
    seen = sitting.last_seen_at or sitting.started_at
    back = seen - now
    if back <= timedelta(seconds=CLOCK_SLACK_S):
        return replace(sitting, last_seen_at=max(seen, now))
    return replace(
        sitting,
        deadline_at=None if sitting.deadline_at is None else sitting.deadline_at - back,
        paused_at=None if sitting.paused_at is None else sitting.paused_at - back,
        last_seen_at=now,
    )


def breaks_left_s(sitting: Sitting, now: datetime) -> int:
    """How long the clock may still stand, in whole seconds."""
    return max(0, sitting.rest_breaks_s - sitting.paused_s - _standing_s(sitting, now))


def _standing_s(sitting: Sitting, now: datetime) -> int:
    """How long the break that runs has stopped the clock: no longer than it may."""
    if sitting.paused_at is None:
        return 0
    stood = max(0, int((now - sitting.paused_at).total_seconds()))
    return min(stood, max(0, sitting.rest_breaks_s - sitting.paused_s))


def with_break_ended(sitting: Sitting, now: datetime) -> Sitting:
    """The sitting with the clock running again; the deadline moves by what the break counts."""
    stood = _standing_s(sitting, now)
    deadline = sitting.deadline_at
    return replace(
        sitting,
        state=SittingState.RUNNING,
        paused_at=None,
        paused_s=sitting.paused_s + stood,
        deadline_at=None if deadline is None else deadline + timedelta(seconds=stood),
    )


def ends_at(sitting: Sitting, now: datetime) -> datetime | None:
    """When it ends as things stand; a break that runs counts with what it has stood."""
    if sitting.deadline_at is None:
        return None
    return sitting.deadline_at + timedelta(seconds=_standing_s(sitting, now))


def left_s(sitting: Sitting, now: datetime) -> int | None:
    """The whole seconds that are left, 0 when the time is up, None without a limit."""
    end = ends_at(sitting, now)
    return None if end is None else seconds_until(end, now)


def seconds_until(end: datetime, now: datetime) -> int:
    """The whole seconds to a moment, 0 once it has passed."""
    return max(0, int((end - now).total_seconds()))


def is_late(sitting: Sitting, now: datetime) -> bool:
    """True after the deadline."""
    end = ends_at(sitting, now)
    return end is not None and now > end


def is_over(sitting: Sitting, now: datetime) -> bool:
    """True once nothing is taken any more: the deadline and the grace have passed."""
    end = ends_at(sitting, now)
    return end is not None and now > end + timedelta(seconds=LATE_GRACE_S)
