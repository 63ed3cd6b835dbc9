"""What an overcurrent device promises at an earth fault current: instantaneous release, or a fuse's time."""

from __future__ import annotations

from trainer.domain.calculations.disconnection import (
    TN,
    instantaneous_multiple,
    maximum_impedance_ohm,
    non_tripping_multiple,
)
from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.devices import Device
from trainer.domain.limits import Limits
from trainer.domain.physics.responses import Function, Reason, Response, TripVerdict
from trainer.domain.vocabulary import DeviceKind

_MS_PER_S = 1000.0
_MA_PER_A = 1000.0
_FINAL_S = 0.4


def overcurrent_response(device: Device, current_a: float, equivalent_a: float, limits: Limits) -> Response:
    """The response of an RCBO, circuit-breaker or fuse to an earth fault current, as overcurrent.

    ``current_a`` is the r.m.s. value, which melts a fuse; ``equivalent_a`` the peak over sqrt(2),
    which an electromagnetic release answers. A current too small for them but above the rating
    may be interrupted by the thermal release in a time that no disconnection time allows.
    """
    if device.kind is DeviceKind.FUSE:
        return _fuse_response(device, current_a, limits)
    return _breaker_response(device, current_a, equivalent_a, limits)


def tripping_current_a(device: Device, time_s: float, limits: Limits) -> float | None:
    """Ia: the current at which the device acts within a time, U0 Cmin / Zs, or None where not known."""
    voltage_v = limits.overcurrent.table_voltage_v.value
    try:
        impedance_ohm = maximum_impedance_ohm(device, time_s, voltage_v, limits)
    except MissingFactError:
        return None
    return voltage_v * limits.overcurrent.minimum_voltage_factor.value / impedance_ohm


def _breaker_response(device: Device, current_a: float, equivalent_a: float, limits: Limits) -> Response:
    must_a = tripping_current_a(device, _FINAL_S, limits)
    if device.curve is None or must_a is None:
        return _response(device, TripVerdict.NOT_REQUIRED, Reason.DEVICE_UNKNOWN, current_a, None)
    # The printed maximum impedances are rounded: the formula's current serves where it is smaller.
    must_a = min(must_a, instantaneous_multiple(device.curve, limits) * device.rated_current_a)
    time_ms = limits.devices.overcurrent["instantaneous_break_time"].value
    if round(equivalent_a, 6) >= round(must_a, 6):
        return _response(device, TripVerdict.MUST, Reason.ABOVE_LIMIT, current_a, must_a, most_ms=time_ms)
    if equivalent_a >= non_tripping_multiple(device.curve, limits) * device.rated_current_a:
        return _response(device, TripVerdict.MAY, Reason.BETWEEN_LIMITS, current_a, must_a)
    return _slow_response(device, current_a, must_a, limits.devices.overcurrent["conventional_non_tripping"].value)


def _fuse_response(device: Device, current_a: float, limits: Limits) -> Response:
    limit_a = None
    for time_s in (_FINAL_S, limits.overcurrent.other_disconnection_time_s[TN].value):
        limit_a = tripping_current_a(device, time_s, limits)
        if limit_a is not None and round(current_a, 6) >= round(limit_a, 6):
            return _response(
                device, TripVerdict.MUST, Reason.ABOVE_LIMIT, current_a, limit_a, most_ms=time_s * _MS_PER_S
            )
    if limit_a is None:
        return _response(device, TripVerdict.NOT_REQUIRED, Reason.DEVICE_UNKNOWN, current_a, None)
    return _slow_response(device, current_a, limit_a, limits.devices.overcurrent["non_fusing"].value)


def _slow_response(device: Device, current_a: float, limit_a: float, non_tripping: float) -> Response:
    if current_a > non_tripping * device.rated_current_a:
        return _response(device, TripVerdict.MAY, Reason.TOO_SLOW, current_a, limit_a)
    return _response(device, TripVerdict.MUST_NOT, Reason.BELOW_NON_OPERATING, current_a, limit_a)


def _response(
    device: Device,
    verdict: TripVerdict,
    reason: Reason,
    current_a: float,
    limit_a: float | None,
    *,
    most_ms: float | None = None,
) -> Response:
    return Response(
        device=device.id,
        function=Function.OVERCURRENT,
        verdict=verdict,
        reason=reason,
        residual_current_ma=current_a * _MA_PER_A,
        standing_dc_ma=0.0,
        limit_ma=None if limit_a is None else limit_a * _MA_PER_A,
        least_ms=0.0,
        most_ms=most_ms,
    )
