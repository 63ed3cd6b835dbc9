"""What the product standard of a residual current device promises at a given residual current.

The verdicts say what may be relied on. A device that is "not required to trip" may well trip
once, and not again.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from trainer.domain.limits import Limits
from trainer.domain.physics.bands import (
    Band,
    ResidualRating,
    alternating_band,
    composite_band,
    frequency_band,
    pulsating_band,
    rectified_band,
    smooth_dc_band,
    smooth_dc_type_b_bears_ma,
)
from trainer.domain.physics.classification import ResidualClass, classify, least_type
from trainer.domain.physics.times import TimeBounds, TimeClass, break_time_bounds
from trainer.domain.physics.waveform import FUNDAMENTAL_HZ, Waveform
from trainer.domain.vocabulary import RcdType

_PLACES = 6
_HALF_PERIOD_DEG = 180.0


class TripVerdict(StrEnum):
    """What the standard says of a device at a residual current."""

    MUST = "must_trip"
    MAY = "may_trip"
    NOT_REQUIRED = "not_required_to_trip"
    MUST_NOT = "must_not_trip"


class Reason(StrEnum):
    """Why a verdict is what it is: keys of templates."""

    ABOVE_LIMIT = "above_limit"
    BETWEEN_LIMITS = "between_limits"
    BELOW_NON_OPERATING = "below_non_operating"
    NO_RESIDUAL_CURRENT = "no_residual_current"
    BEYOND_TYPE = "beyond_type"
    BEYOND_FREQUENCY = "beyond_frequency"
    STANDING_DC = "standing_dc"
    BEYOND_TESTED_DC = "beyond_tested_dc"
    NO_SMOOTH_DC = "no_smooth_dc"
    TOO_SLOW = "too_slow"
    DEVICE_UNKNOWN = "device_unknown"


class Function(StrEnum):
    """What in a device answers the fault."""

    RESIDUAL = "residual"
    DIRECT_CURRENT = "direct_current"
    MONITORING = "monitoring"
    OVERCURRENT = "overcurrent"
    OPEN_PEN = "open_pen"


@dataclass(frozen=True, slots=True, kw_only=True)
class ResidualCurrent:
    """A residual current in the figures that the standards ask about, for one rated current.

    ``least_type`` is the least type that must detect the shape. ``frequency_hz`` is that of an alternating current.
    """

    residual_class: ResidualClass
    least_type: RcdType
    rms_ma: float
    mean_ma: float
    minimum_ma: float
    maximum_ma: float
    zero_interval_deg: float
    frequency_hz: float = FUNDAMENTAL_HZ

    @property
    def smooth_ma(self) -> float:
        """The direct current below which the magnitude never falls."""
        return max(0.0, self.minimum_ma, -self.maximum_ma)

    @property
    def peak_ma(self) -> float:
        """Greatest magnitude."""
        return max(abs(self.minimum_ma), abs(self.maximum_ma))

    def scaled(self, factor: float) -> ResidualCurrent:
        """The same shape, ``factor`` times as large; its class stays, since shapes are classed at one scale."""
        return replace(
            self,
            rms_ma=self.rms_ma * factor,
            mean_ma=self.mean_ma * factor,
            minimum_ma=self.minimum_ma * factor,
            maximum_ma=self.maximum_ma * factor,
        )


def residual_current_of(waveform: Waveform, rated_residual_operating_current_ma: float = 30.0) -> ResidualCurrent:
    """The figures of a waveform as a device of that rating meets it."""
    residual_class = classify(waveform, rated_residual_operating_current_ma)
    frequency_hz = FUNDAMENTAL_HZ
    if residual_class is ResidualClass.ALTERNATING:
        lines = waveform.spectrum(minimum_share=0.1)
        frequency_hz = max(lines, key=lambda line: line.rms_ma).frequency_hz if lines else FUNDAMENTAL_HZ
    return ResidualCurrent(
        residual_class=residual_class,
        least_type=least_type(waveform, rated_residual_operating_current_ma),
        rms_ma=waveform.rms_ma,
        mean_ma=waveform.mean_ma,
        minimum_ma=waveform.minimum_ma,
        maximum_ma=waveform.maximum_ma,
        zero_interval_deg=waveform.zero_interval_deg(),
        frequency_hz=frequency_hz,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Response:
    """One device on the path: what it sees, what its standard promises, and in what time.

    ``residual_current_ma`` is the r.m.s. value of the fault current with the standing leakage of
    the circuits behind the device, ``standing_dc_ma`` the smooth d.c. on which it must work.
    From ``limit_ma`` on it must act. ``least_ms`` and ``most_ms`` bound the break time if it
    acts; ``most_ms`` is None where no time is promised.
    """

    verdict: TripVerdict
    reason: Reason
    residual_current_ma: float
    standing_dc_ma: float = 0.0
    limit_ma: float | None = None
    least_ms: float = 0.0
    most_ms: float | None = None
    function: Function = Function.RESIDUAL
    device: str = ""


def residual_response(
    rating: ResidualRating,
    current: ResidualCurrent,
    limits: Limits,
    *,
    standing_dc_ma: float = 0.0,
    standing_ac_ma: float = 0.0,
) -> Response:
    """The response of a residual current device to a fault, on what flows through it all the time.

    It must act when its type covers the shape of the fault current, the standing smooth d.c. is
    within its tolerance, and the fault current alone reaches the operating limit; it must not
    when even fault current and leakage together stay below the non-operating limit.
    """
    dc = abs(standing_dc_ma)
    seen_ma = current.rms_ma + standing_ac_ma
    if round(current.rms_ma, _PLACES) == 0.0:
        verdict, reason = TripVerdict.MUST_NOT, Reason.NO_RESIDUAL_CURRENT
        return Response(verdict=verdict, reason=reason, residual_current_ma=seen_ma, standing_dc_ma=dc)
    refusal = _refusal(rating, current, dc, limits)
    if refusal is not None:
        return Response(
            verdict=TripVerdict.NOT_REQUIRED, reason=refusal, residual_current_ma=seen_ma, standing_dc_ma=dc
        )
    band = band_of(rating, current, limits)
    verdict, reason = _by_band(band, current.rms_ma, seen_ma)
    if rating.rcd_type is RcdType.B and verdict is not TripVerdict.MUST_NOT:
        verdict, reason = _with_dc_at_type_b(rating, dc, (verdict, reason), limits)
    bounds = _bounds(rating, current, limits)
    return Response(
        verdict=verdict,
        reason=reason,
        residual_current_ma=seen_ma,
        standing_dc_ma=dc,
        limit_ma=band.operating_ma,
        least_ms=bounds.least_ms,
        most_ms=bounds.most_ms if verdict is TripVerdict.MUST else None,
    )


def band_of(rating: ResidualRating, current: ResidualCurrent, limits: Limits) -> Band:
    """The trip band of a device whose type covers the shape of the current."""
    devices = limits.devices
    if current.residual_class is ResidualClass.ALTERNATING:
        band = frequency_band(rating, current.frequency_hz, devices) if _is_above_mains(current) else None
        return band or alternating_band(rating, devices)
    if current.residual_class is ResidualClass.SMOOTH_DC:
        return smooth_dc_band(rating, devices)
    if current.least_type is RcdType.B:
        return rectified_band(rating, devices)
    if current.residual_class is ResidualClass.COMPOSITE:
        return composite_band(rating, devices)
    return pulsating_band(rating, current.zero_interval_deg - _HALF_PERIOD_DEG, devices)


def tolerated_dc_ma(rcd_type: RcdType, limits: Limits) -> float | None:
    """Smooth d.c. on which a type AC, A or F still works; None for type B, which detects it."""
    tolerance = limits.residual.smooth_dc_tolerance_ma.get(rcd_type.value)
    return None if tolerance is None or rcd_type is RcdType.B else tolerance.value


def _refusal(rating: ResidualRating, current: ResidualCurrent, dc_ma: float, limits: Limits) -> Reason | None:
    """Why the standard asks nothing of the device at this current, or None where it does."""
    if not rating.rcd_type.covers(current.least_type):
        return Reason.BEYOND_FREQUENCY if _is_above_mains(current) else Reason.BEYOND_TYPE
    if _is_above_mains(current) and current.frequency_hz > limits.devices.type_b_highest_frequency_hz.value:
        return Reason.BEYOND_FREQUENCY
    tolerance_ma = tolerated_dc_ma(rating.rcd_type, limits)
    if tolerance_ma is not None and round(dc_ma, _PLACES) > tolerance_ma:
        return Reason.STANDING_DC
    return None


def _by_band(band: Band, fault_ma: float, seen_ma: float) -> tuple[TripVerdict, Reason]:
    if round(fault_ma, _PLACES) >= round(band.operating_ma, _PLACES):
        return TripVerdict.MUST, Reason.ABOVE_LIMIT
    if round(seen_ma, _PLACES) <= round(band.non_operating_ma, _PLACES):
        return TripVerdict.MUST_NOT, Reason.BELOW_NON_OPERATING
    return TripVerdict.MAY, Reason.BETWEEN_LIMITS


def _with_dc_at_type_b(
    rating: ResidualRating, dc_ma: float, verdict: tuple[TripVerdict, Reason], limits: Limits
) -> tuple[TripVerdict, Reason]:
    """Standing d.c. at a type B: alone enough to make it act, beyond what is tested, or of no effect."""
    if round(dc_ma, _PLACES) >= round(smooth_dc_band(rating, limits.devices).operating_ma, _PLACES):
        return TripVerdict.MUST, Reason.ABOVE_LIMIT
    if round(dc_ma, _PLACES) > round(smooth_dc_type_b_bears_ma(rating, limits.devices), _PLACES):
        return TripVerdict.MAY, Reason.BEYOND_TESTED_DC
    return verdict


def _is_above_mains(current: ResidualCurrent) -> bool:
    """True for an alternating current of another frequency than the supply's."""
    return current.residual_class is ResidualClass.ALTERNATING and current.least_type is RcdType.B


def _bounds(rating: ResidualRating, current: ResidualCurrent, limits: Limits) -> TimeBounds:
    return break_time_bounds(rating, _time_class(current), current.rms_ma, limits.devices)


def _time_class(current: ResidualCurrent) -> TimeClass:
    """The table of times: that of smooth d.c. for all that type B alone detects.

    No table for composite current is known: the one with the same operating limit serves.
    """
    if current.residual_class is ResidualClass.ALTERNATING:
        return TimeClass.ALTERNATING
    return TimeClass.SMOOTH_DC if current.least_type is RcdType.B else TimeClass.PULSATING
