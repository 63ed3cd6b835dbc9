"""What detectors of residual direct current and the monitoring of inverters promise."""

from __future__ import annotations

from trainer.domain.limits import Limits, Table
from trainer.domain.physics.responses import Function, Reason, ResidualCurrent, Response, TripVerdict

_PLACES = 6


def direct_current_response(
    current: ResidualCurrent,
    limits: Limits,
    *,
    standing_dc_ma: float = 0.0,
    operating_ma: float | None = None,
) -> Response:
    """The response of a device that detects residual direct current (RDC-DD, IEC 62955).

    It must act on the smooth part of the current, the part that never ceases, from 6 mA on. A mean
    value without a smooth part may make it act: no test of the standard settles that.
    ``operating_ma`` is the threshold that its data sheet names where it is another.
    """
    bounds = limits.devices.direct_current_detection
    limit_ma = bounds["operating"].value if operating_ma is None else operating_ma
    smooth_ma = round(current.smooth_ma + abs(standing_dc_ma), _PLACES)
    mean_ma = abs(current.mean_ma) + abs(standing_dc_ma)
    if smooth_ma >= round(limit_ma, _PLACES):
        verdict, reason = TripVerdict.MUST, Reason.ABOVE_LIMIT
    elif mean_ma > bounds["non_operating"].value:
        verdict, reason = TripVerdict.MAY, Reason.BETWEEN_LIMITS
    else:
        verdict, reason = TripVerdict.NOT_REQUIRED, Reason.NO_SMOOTH_DC
    most_ms = None
    if verdict is TripVerdict.MUST:
        times = limits.devices.direct_current_detection_times
        most_ms = _time_of(times, smooth_ma) or max(times.rows.values())
    return Response(
        function=Function.DIRECT_CURRENT,
        verdict=verdict,
        reason=reason,
        residual_current_ma=current.rms_ma,
        standing_dc_ma=abs(standing_dc_ma),
        limit_ma=limit_ma,
        most_ms=most_ms,
    )


def monitoring_response(current: ResidualCurrent, limits: Limits, *, sudden: bool, rated_kva: float = 0.0) -> Response:
    """The response of an inverter's residual current monitoring (IEC 62109-2) to a fault on its d.c. side.

    A sudden change counts from 30 mA on, a slow rise from the continuous limit on: 300 mA up to
    30 kVA, 10 mA per kVA above.
    """
    most_ms: float | None
    if sudden:
        steps = limits.devices.inverter_monitoring_sudden
        limit_ma = min(float(key[0]) for key in steps.rows)
        most_ms = _time_of(steps, current.rms_ma)
    else:
        limit_ma = continuous_limit_ma(limits, rated_kva)
        reached = round(current.rms_ma, _PLACES) >= limit_ma
        most_ms = limits.devices.inverter_monitoring["continuous_break_time"].value if reached else None
    verdict, reason = TripVerdict.MUST, Reason.ABOVE_LIMIT
    if round(current.rms_ma, _PLACES) == 0.0:
        verdict, reason = TripVerdict.MUST_NOT, Reason.NO_RESIDUAL_CURRENT
    elif most_ms is None:
        verdict, reason = TripVerdict.MAY, Reason.BETWEEN_LIMITS
    return Response(
        function=Function.MONITORING,
        verdict=verdict,
        reason=reason,
        residual_current_ma=current.rms_ma,
        limit_ma=limit_ma,
        most_ms=most_ms,
    )


def continuous_limit_ma(limits: Limits, rated_kva: float) -> float:
    """The continuous residual current at which an inverter must disconnect."""
    monitoring = limits.devices.inverter_monitoring
    if rated_kva <= monitoring["small_rating"].value:
        return monitoring["continuous_ma"].value
    return monitoring["continuous_per_rating"].value * rated_kva


def _time_of(steps: Table, current_ma: float) -> float | None:
    """The time of the highest step that a current reaches, None below the first."""
    rows = [(float(key[0]), time_ms) for key, time_ms in steps.rows.items()]
    reached = [row for row in rows if row[0] <= round(current_ma, _PLACES)]
    return max(reached)[1] if reached else None
