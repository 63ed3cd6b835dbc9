"""Bounds on the break time of residual current devices, by the steps of their product standards."""

from __future__ import annotations

from enum import StrEnum
from functools import lru_cache
from typing import NamedTuple

from trainer.domain.limits.devices import DeviceLimits
from trainer.domain.limits.loading import Table
from trainer.domain.physics.bands import ResidualRating
from trainer.domain.vocabulary import RcdType, ResidualDelay

_UP_TO_30_MA = 30.0


class TimeClass(StrEnum):
    """Kinds of residual current with a table of break times of their own."""

    ALTERNATING = "alternating"
    PULSATING = "pulsating"
    SMOOTH_DC = "smooth_dc"


class TimeBounds(NamedTuple):
    """A device that acts does so not before ``least_ms`` and not after ``most_ms``.

    ``most_ms`` is None where no standard promises a time.
    """

    least_ms: float
    most_ms: float | None


class Step(NamedTuple):
    """From ``current_ma`` on, a device breaks within ``most_ms`` and not before ``least_ms``."""

    current_ma: float
    least_ms: float
    most_ms: float


@lru_cache(maxsize=512)
def break_time_steps(rating: ResidualRating, time_class: TimeClass, limits: DeviceLimits) -> tuple[Step, ...]:
    """The three steps of the product standard for this rating, by rising current.

    For ratings up to 30 mA the highest step stands at the current that the standard allows in
    place of the multiple: 0.25 A alternating; 0.35 A pulsating, 0.5 A below 30 mA.
    """
    table = _table(time_class, limits)
    rated_ma = rating.rated_residual_operating_current_ma
    stretch = _pulsating_stretch(time_class, rated_ma)
    multiples = sorted({float(key[1]) for key in table.rows if key[0] == rating.delay.value})
    steps = [
        Step(
            round(multiple * stretch * rated_ma, 6),
            max(
                table.get(rating.delay.value, multiple, "minimum") or 0.0,
                limits.type_f_non_actuating_ms.value if rating.rcd_type is RcdType.F else 0.0,
            ),
            table.rows[rating.delay.value, f"{multiple:g}", "maximum"],
        )
        for multiple in multiples
    ]
    special_ma = _forty_ms_current_ma(time_class, rated_ma, limits)
    if special_ma is not None and special_ma > steps[-1].current_ma:
        steps[-1] = steps[-1]._replace(current_ma=special_ma)
    return tuple(steps)


def break_time_bounds(
    rating: ResidualRating, time_class: TimeClass, residual_current_ma: float, limits: DeviceLimits
) -> TimeBounds:
    """Bounds on the break time at a residual current.

    The upper bound is that of the highest step reached, None below the first. The lower bound is
    that of the next step above, since a delayed device waits longer the smaller the current.
    """
    steps = break_time_steps(rating, time_class, limits)
    current = round(residual_current_ma, 6)
    most = next((step.most_ms for step in reversed(steps) if step.current_ma <= current), None)
    least = next((step.least_ms for step in steps if current <= step.current_ma), None)
    if least is None:
        delayed = rating.delay is ResidualDelay.S
        least = limits.selective_least_non_actuating_ms.value if delayed else steps[-1].least_ms
    return TimeBounds(least, most)


def _table(time_class: TimeClass, limits: DeviceLimits) -> Table:
    if time_class is TimeClass.ALTERNATING:
        return limits.break_times_alternating
    if time_class is TimeClass.PULSATING:
        return limits.break_times_pulsating
    return limits.break_times_smooth_dc


def _pulsating_stretch(time_class: TimeClass, rated_ma: float) -> float:
    """Below 30 mA the steps for pulsating current are 2, 4 and 10 times in place of 1.4, 2.8 and 7."""
    return 2.0 / 1.4 if time_class is TimeClass.PULSATING and rated_ma < _UP_TO_30_MA else 1.0


def _forty_ms_current_ma(time_class: TimeClass, rated_ma: float, limits: DeviceLimits) -> float | None:
    """The current that replaces the highest multiple; smooth d.c. has none."""
    if rated_ma > _UP_TO_30_MA or time_class is TimeClass.SMOOTH_DC:
        return None
    if time_class is TimeClass.ALTERNATING:
        return limits.forty_ms_current_ma["alternating"].value
    return limits.forty_ms_current_ma["pulsating_30" if rated_ma == _UP_TO_30_MA else "pulsating_below_30"].value
