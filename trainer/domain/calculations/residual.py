"""Disconnection by residual current devices at the fault current that flows."""

from __future__ import annotations

from typing import NamedTuple

from trainer.domain.cables import Circuit
from trainer.domain.calculations.facts import PER_MILLI, MissingFactError
from trainer.domain.calculations.lookup import lookup
from trainer.domain.devices import Device
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.vocabulary import ResidualDelay


class ResidualDisconnection(NamedTuple):
    """A residual current device on a circuit, and its longest break time at a fault current."""

    device: Device
    rating_a: float
    break_time_s: float | None


def break_time_s(delay: ResidualDelay, multiple: float, limits: Limits) -> float | None:
    """The longest break time of a residual current device, in s, at a multiple of its rating.

    The time of the highest tabulated multiple that the current reaches; None below the rating.
    *Source*: IEC 61008-1 Table 1.
    """
    rows = lookup(limits.devices.break_times_alternating).rows
    longest: float | None = None
    reached = 0.0
    for (row_delay, row_multiple, bound), time_ms in rows.items():
        if row_delay == delay and bound == "maximum" and reached < float(row_multiple) <= round(multiple, 6):
            reached, longest = float(row_multiple), time_ms / PER_MILLI
    return longest


def fastest_residual_device(
    house: Installation, circuit: Circuit, fault_current_a: float, limits: Limits
) -> ResidualDisconnection | None:
    """The residual current device above a circuit that disconnects it first; None where there is none.

    *Raises* MissingFactError for a rating or time behaviour that is not stated.
    """
    best: ResidualDisconnection | None = None
    for device in house.devices_above(circuit):
        if not device.detects_residual_current:
            continue
        each = _disconnection(device, fault_current_a, limits)
        if best is None or _time(each) < _time(best):
            best = each
    return best


def _disconnection(device: Device, fault_current_a: float, limits: Limits) -> ResidualDisconnection:
    rating_ma = device.rated_residual_operating_current_ma
    if rating_ma is None:
        raise MissingFactError(f"devices.{device.id}.rated_residual_operating_current_ma")
    if device.residual_delay is None:
        raise MissingFactError(f"devices.{device.id}.residual_delay")
    rating_a = rating_ma / PER_MILLI
    time_s = break_time_s(device.residual_delay, fault_current_a / rating_a, limits)
    return ResidualDisconnection(device, rating_a, time_s)


def _time(each: ResidualDisconnection) -> float:
    return float("inf") if each.break_time_s is None else each.break_time_s
