"""A core that goes blind: a teaching model of a summation transformer on smooth direct current.

Direct current induces nothing in a secondary winding. It only shifts the working point along
the curve of the core, where the same alternating current swings the flux less. The model holds
the quasi-static curve and a loop of constant half-width, nothing else: no frequency, no relay.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import NamedTuple

from trainer.domain.errors import Problem, UnknownNameError
from trainer.domain.limits import Limits
from trainer.domain.physics.waveform import Waveform
from trainer.domain.vocabulary import RcdType

CAPTION = "The worst device that the standard would still let pass; most go further, none is promised to."
"""Stands beside every curve of a core."""

RATED_RESIDUAL_OPERATING_CURRENT_MA = 30.0
"""The model is calibrated for devices of this rating only."""

_ENDLESS_MA = 1e5
_ROOT_TWO = math.sqrt(2.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Core:
    """A core by its curve B/Bs = tanh(p/I0), p following the current with play of half-width Ic.

    ``trip_swing`` is the peak-to-peak flux, in parts of the saturation flux, at which the relay
    lets go.
    """

    rcd_type: RcdType
    half_width_ma: float
    knee_ma: float
    trip_swing: float

    def swing(self, lowest_ma: float, highest_ma: float) -> float:
        """Flux swing of a periodic current: tanh((imax - Ic)/I0) - tanh((imin + Ic)/I0), at least 0."""
        upper = math.tanh((highest_ma - self.half_width_ma) / self.knee_ma)
        lower = math.tanh((lowest_ma + self.half_width_ma) / self.knee_ma)
        return max(0.0, upper - lower)

    def trips(self, waveform: Waveform, *, standing_dc_ma: float = 0.0) -> bool:
        """True when the waveform, on a standing direct current, swings the flux far enough."""
        swing = self.swing(waveform.minimum_ma + standing_dc_ma, waveform.maximum_ma + standing_dc_ma)
        return swing >= self.trip_swing - 1e-9


class CurvePoint(NamedTuple):
    """Trip thresholds at one standing direct current; None where half-waves no longer trip."""

    standing_dc_ma: float
    alternating_ma: float
    half_wave_ma: float | None


def core_of(rcd_type: RcdType, limits: Limits) -> Core:
    """The just compliant core of a 30 mA device of type AC, A or F.

    The knee I0 of types A and F is the one at which a half-wave at the operating limit, 1.4 times
    30 mA, on smooth d.c. of the tolerance (6 mA, 10 mA) still trips, and no more:
    tanh((84 + d - Ic)/I0) - tanh((d + Ic)/I0) = 2 tanh((22 sqrt 2 - Ic)/I0).

    *Raises* UnknownNameError for type B, which finds smooth d.c. by another principle.
    """
    if rcd_type is RcdType.B:
        raise UnknownNameError(
            Problem(
                path="rcd_type",
                value=rcd_type.value,
                problem="a type B device detects smooth d.c. by a circuit of its own, not by this core",
                possible=("AC", "A", "F"),
                nearest="F",
            )
        )
    assumed = limits.devices.core
    trip_ma = assumed["sinusoidal_trip"].value
    if rcd_type is RcdType.AC:
        half_width_ma, knee_ma = assumed["half_width_square"].value, assumed["knee_square"].value
    else:
        half_width_ma = assumed["half_width_sheared"].value
        tolerance_ma = limits.residual.smooth_dc_tolerance_ma[rcd_type.value].value
        peak_ma = 2.0 * half_wave_limit_ma(limits)
        knee_ma = _calibrated_knee_ma(half_width_ma, trip_ma, peak_ma, tolerance_ma)
    swing = 2.0 * math.tanh((trip_ma * _ROOT_TWO - half_width_ma) / knee_ma)
    return Core(rcd_type=rcd_type, half_width_ma=half_width_ma, knee_ma=knee_ma, trip_swing=swing)


def half_wave_limit_ma(limits: Limits) -> float:
    """R.m.s. value of a half-wave at which a 30 mA device of type A must trip."""
    multiple = limits.devices.pulsating_bands.rows["above_small", "any", "operating"]
    return multiple * RATED_RESIDUAL_OPERATING_CURRENT_MA


def _calibrated_knee_ma(half_width_ma: float, trip_ma: float, peak_ma: float, dc_ma: float) -> float:
    """The knee at which a half-wave of that peak on ``dc_ma`` swings as a sinusoid of ``trip_ma``."""

    def sinusoid_leads(knee_ma: float) -> bool:
        needed = 2.0 * math.tanh((trip_ma * _ROOT_TWO - half_width_ma) / knee_ma)
        upper = math.tanh((peak_ma + dc_ma - half_width_ma) / knee_ma)
        return upper - math.tanh((dc_ma + half_width_ma) / knee_ma) < needed

    # A square core (small knee) lets the sinusoid lead, a sheared one the half-wave.
    low, high = half_width_ma, 100.0 * half_width_ma
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if sinusoid_leads(middle) else (low, middle)
    return high


def alternating_threshold_ma(core: Core, standing_dc_ma: float = 0.0) -> float:
    """R.m.s. value of the sinusoidal residual current that trips on a standing direct current."""
    dc = abs(standing_dc_ma)
    peak = _least(lambda peak_ma: core.swing(dc - peak_ma, dc + peak_ma) >= core.trip_swing)
    return peak / _ROOT_TWO


def half_wave_threshold_ma(core: Core, standing_dc_ma: float = 0.0) -> float | None:
    """R.m.s. value of the half-wave that trips on direct current of the same polarity, None if none does."""
    dc = abs(standing_dc_ma)
    if core.swing(dc, _ENDLESS_MA) < core.trip_swing:
        return None
    return 0.5 * _least(lambda peak_ma: core.swing(dc, dc + peak_ma) >= core.trip_swing)


def dc_that_desensitises_ma(core: Core, limit_ma: float = RATED_RESIDUAL_OPERATING_CURRENT_MA) -> float:
    """Standing direct current above which a sinusoid of ``limit_ma`` no longer trips."""
    peak = limit_ma * _ROOT_TWO
    return _least(lambda dc_ma: core.swing(dc_ma - peak, dc_ma + peak) < core.trip_swing)


def dc_that_silences_half_waves_ma(core: Core) -> float:
    """Standing direct current from which no half-wave of the same polarity trips: I0 artanh(1 - S) - Ic.

    0 when none trips even without direct current.
    """
    room = 1.0 - core.trip_swing
    if room <= -1.0:
        return 0.0
    return max(0.0, core.knee_ma * math.atanh(room) - core.half_width_ma)


def core_curve(core: Core, standing_dc_ma: Iterable[float]) -> tuple[CurvePoint, ...]:
    """Trip thresholds over standing direct currents, for drawing."""
    return tuple(
        CurvePoint(dc, alternating_threshold_ma(core, dc), half_wave_threshold_ma(core, dc)) for dc in standing_dc_ma
    )


def _least(condition: Callable[[float], bool]) -> float:
    """The least current in mA at which a condition that stays true once it is true begins to hold."""
    low, high = 0.0, _ENDLESS_MA
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if condition(middle) else (middle, high)
    return high
