"""Disconnection by residual current devices at the fault current that flows."""

from __future__ import annotations

from bisect import bisect_right
from typing import NamedTuple

from trainer.domain.cables import Circuit
from trainer.domain.calculations.facts import PER_MILLI, unless_open
from trainer.domain.calculations.lookup import lookup, remembered
from trainer.domain.devices import WITH_RESIDUAL_CURRENT, Device
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.vocabulary import ResidualDelay


class ResidualDisconnection(NamedTuple):
    """A residual current device on a circuit, and its longest break time at a fault current.

    ``open_fact`` is the path of what is not stated of another device that might be quicker.
    """

    device: Device
    rating_a: float
    break_time_s: float | None
    open_fact: str | None = None


class ResidualLimit(NamedTuple):
    """A residual current device on a circuit, and the largest loop for which it gives fault protection.

    ``open_fact`` is the path of what is not stated of another device that might allow more.
    """

    device: Device
    impedance_ohm: float
    open_fact: str | None = None


def largest_loop_by_residual_device(house: Installation, circuit: Circuit, limits: Limits) -> ResidualLimit | None:
    """The most sensitive residual current device above a circuit with its largest Zs; None without one.

    Zs = 50 V / I-delta-n. With 230 V to earth at least 4.6 times the rating then flows, and devices
    act within 0.2 s, S types too. *Raises* MissingFactError where no device's rating is stated.
    *Source*: BS 7671 411.4.5, Table 41.5.
    """
    best: ResidualLimit | None = None
    open_fact: str | None = None
    touch_voltage_mv = limits.earthing.touch_voltage_v.value * PER_MILLI
    for device in house.devices_above(circuit):
        if device.kind in WITH_RESIDUAL_CURRENT:
            rating_ma = device.rated_residual_operating_current_ma
            if rating_ma is None:
                open_fact = _rating_path(device)
            elif best is None or touch_voltage_mv / rating_ma > best.impedance_ohm:
                best = ResidualLimit(device, touch_voltage_mv / rating_ma)
    if best is None:
        unless_open(open_fact)
        return None
    return best if open_fact is None else best._replace(open_fact=open_fact)


def break_time_s(delay: ResidualDelay, multiple: float, limits: Limits) -> float | None:
    """The longest break time of a residual current device, in s, at a multiple of its rating.

    The time of the highest tabulated multiple that the current reaches; None below the rating.
    *Source*: IEC 61008-1 Table 1.
    """
    return _time_at(multiple, _longest_times(limits)[delay])


class _Times(NamedTuple):
    """The tabulated multiples of one time behaviour in rising order, and the longest break time at each, in s."""

    multiples: tuple[float, ...]
    times_s: tuple[float, ...]


def _time_at(multiple: float, times: _Times) -> float | None:
    multiples, times_s = times
    if multiple >= multiples[-1]:
        return times_s[-1]
    place = bisect_right(multiples, round(multiple, 6))
    return times_s[place - 1] if place else None


@remembered
def _longest_times(limits: Limits) -> dict[ResidualDelay, _Times]:
    """The longest break times of each time behaviour."""
    found: dict[ResidualDelay, _Times] = {}
    for each in ResidualDelay:
        rows = sorted(
            (float(multiple), time_ms / PER_MILLI)
            for (delay, multiple, bound), time_ms in lookup(limits.devices.break_times_alternating).rows.items()
            if delay == each and bound == "maximum"
        )
        found[each] = _Times(tuple(multiple for multiple, _ in rows), tuple(time_s for _, time_s in rows))
    return found


def fastest_residual_device(
    house: Installation, circuit: Circuit, fault_current_a: float, limits: Limits
) -> ResidualDisconnection | None:
    """The residual current device above a circuit that disconnects it first; None where there is none.

    *Raises* MissingFactError where of no device rating and time behaviour are stated.
    """
    quickest: Device | None = None
    open_fact: str | None = None
    rating_a, time_s = 0.0, None
    times = _longest_times(limits)
    for device in house.devices_above(circuit):
        if device.kind not in WITH_RESIDUAL_CURRENT:
            continue
        rating_ma, delay = device.rated_residual_operating_current_ma, device.residual_delay
        if rating_ma is None or delay is None:
            open_fact = open_fact or (
                _rating_path(device) if rating_ma is None else f"devices.{device.id}.residual_delay"
            )
            continue
        own_a = rating_ma / PER_MILLI
        own_s = _time_at(fault_current_a / own_a, times[delay])
        if quickest is None or (own_s is not None and (time_s is None or own_s < time_s)):
            quickest, rating_a, time_s = device, own_a, own_s
    if quickest is not None:
        return ResidualDisconnection(quickest, rating_a, time_s, open_fact)
    unless_open(open_fact)
    return None


def _rating_path(device: Device) -> str:
    return f"devices.{device.id}.rated_residual_operating_current_ma"
