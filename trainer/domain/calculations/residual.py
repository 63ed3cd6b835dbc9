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


class ResidualLimit(NamedTuple):
    """A residual current device on a circuit, and the largest loop for which it gives fault protection."""

    device: Device
    impedance_ohm: float


def largest_loop_by_residual_device(house: Installation, circuit: Circuit, limits: Limits) -> ResidualLimit | None:
    """The most sensitive residual current device above a circuit with its largest Zs; None without one.

    Zs = 50 V / I-delta-n. With 230 V to earth at least 4.6 times the rating then flows, and devices
    act within 0.2 s, S types too. *Raises* MissingFactError. *Source*: BS 7671 411.4.5, Table 41.5.
    """
    best: ResidualLimit | None = None
    for device in house.devices_above(circuit):
        if device.detects_residual_current:
            ohm = limits.earthing.touch_voltage_v.value * PER_MILLI / _rating_ma(device)
            if best is None or ohm > best.impedance_ohm:
                best = ResidualLimit(device, ohm)
    return best


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
    rating_a = _rating_ma(device) / PER_MILLI
    if device.residual_delay is None:
        raise MissingFactError(f"devices.{device.id}.residual_delay")
    time_s = break_time_s(device.residual_delay, fault_current_a / rating_a, limits)
    return ResidualDisconnection(device, rating_a, time_s)


def _rating_ma(device: Device) -> float:
    rating_ma = device.rated_residual_operating_current_ma
    if rating_ma is None:
        raise MissingFactError(f"devices.{device.id}.rated_residual_operating_current_ma")
    return rating_ma


def _time(each: ResidualDisconnection) -> float:
    return float("inf") if each.break_time_s is None else each.break_time_s
