"""What a fault behind a front end sends to earth, in the three figures that an explanation needs."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from trainer.domain.physics.classification import least_type
from trainer.domain.physics.front_ends import FRONT_ENDS, FaultPoint, waveform
from trainer.domain.physics.waveform import Waveform
from trainer.domain.vocabulary import FrontEnd, RcdType
from trainer.explain.numbers import quantity

RMS_MA = 30.0
"""Faults are compared at the effective value of a common rated residual operating current."""


class FaultShape(NamedTuple):
    """The worst fault behind a front end at 30 mA r.m.s.: its mean, and the shape that it has.

    ``is_smooth``: it never returns to zero. ``rests``: it is pulses that rest at zero as long as those for which
    type A is made. ``alternates``: it holds no direct current.
    """

    rms: str
    mean: str
    is_smooth: bool
    rests: bool
    alternates: bool


@cache
def fault_shape(front_end: FrontEnd) -> FaultShape:
    """The fault with the most direct current that never ceases, else with the most direct current."""
    waves = [_at_30_ma(front_end, point) for point in FRONT_ENDS[front_end].solvers]
    worst = max(waves, key=lambda wave: (round(_never_below_ma(wave), 1), round(abs(wave.mean_ma), 1)))
    least = least_type(worst)
    return FaultShape(
        rms=quantity(RMS_MA, "mA"),
        mean=quantity(abs(worst.mean_ma), "mA", 0),
        is_smooth=_never_below_ma(worst) > _TINY_MA,
        rests=least is RcdType.A,
        alternates=least is RcdType.AC,
    )


_TINY_MA = 1.0


def _never_below_ma(wave: Waveform) -> float:
    """The magnitude below which a current of one polarity never falls."""
    return max(0.0, wave.minimum_ma, -wave.maximum_ma)


def _at_30_ma(front_end: FrontEnd, point: FaultPoint) -> Waveform:
    wave = waveform(front_end, point)
    return wave.scaled(RMS_MA / wave.rms_ma) if wave.rms_ma else wave
