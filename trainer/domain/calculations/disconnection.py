"""Disconnection: the time that is allowed, the impedance that achieves it, the current it takes."""

from __future__ import annotations

from bisect import bisect_right

from trainer.domain.cables import Circuit
from trainer.domain.calculations.facts import PER_MILLI, MissingFactError
from trainer.domain.calculations.lookup import lookup, remembered
from trainer.domain.devices import Device
from trainer.domain.findings import within
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits, Table
from trainer.domain.vocabulary import Curve, DeviceKind

TN = "TN"
TT = "TT"


def maximum_disconnection_time_s(
    house: Installation, circuit: Circuit, rated_current_a: float, system: str, limits: Limits
) -> float:
    """The longest disconnection time allowed for a circuit, in s; ``system`` is TN or TT.

    Table 41.1 for final circuits up to 63 A with socket-outlets, and up to 32 A with fixed
    equipment only; the longer times of 411.3.2.3 and 411.3.2.4 for all others.
    """
    overcurrent = limits.overcurrent
    if house.is_final(circuit):
        outlets = circuit.socket_outlets
        scope = overcurrent.scope_with_socket_outlets_a if outlets else overcurrent.scope_fixed_equipment_a
        if rated_current_a <= scope.value:
            final = _final_time_s(limits, house.supply.nominal_voltage_to_earth_v, system)
            if final is not None:
                return final
    return overcurrent.other_disconnection_time_s[system].value


@remembered
def _final_time_s(limits: Limits, nominal_voltage_to_earth_v: float, system: str) -> float | None:
    """The disconnection time of Table 41.1, in s; None above its highest voltage."""
    return lookup(limits.overcurrent.disconnection_times).at_or_above(nominal_voltage_to_earth_v, system)


def maximum_impedance_ohm(device: Device, time_s: float, nominal_voltage_to_earth_v: float, limits: Limits) -> float:
    """The largest earth fault loop impedance at which an overcurrent device acts in time, in ohm.

    Zs = U0 * Cmin / Ia; as printed in Tables 41.2 to 41.4 where they have the rating, at their
    voltage. *Raises* MissingFactError where neither the tables nor the formula know the device.
    """
    share = nominal_voltage_to_earth_v / limits.overcurrent.table_voltage_v.value
    if device.kind is DeviceKind.FUSE:
        return share * _fuse(device, time_s, limits)
    return share * _breaker(device, limits)


def _breaker(device: Device, limits: Limits) -> float:
    curve = device.curve
    if curve is None:
        raise MissingFactError(f"devices.{device.id}.curve")
    return _breaker_ohm(limits, curve, device.rated_current_a)


@remembered
def _breaker_ohm(limits: Limits, curve: Curve, rated: float) -> float:
    """The impedance of Table 41.3 in ohm, or U0 * Cmin / Ia for a rating that it does not have."""
    overcurrent = limits.overcurrent
    printed = lookup(overcurrent.maximum_impedance_breaker).rows.get((curve, rated))
    if printed is not None:
        return printed
    return (
        overcurrent.table_voltage_v.value
        * overcurrent.minimum_voltage_factor.value
        / (instantaneous_multiple(curve, limits) * rated)
    )


def lenient_impedance_ohm(
    device: Device, time_s: float, nominal_voltage_to_earth_v: float, limits: Limits
) -> float | None:
    """For curve D at the longer times, the larger impedance that some printed lists give, in ohm."""
    if device.kind is DeviceKind.FUSE or device.curve is not Curve.D:
        return None
    overcurrent = limits.overcurrent
    if time_s < overcurrent.other_disconnection_time_s[TN].value:
        return None
    printed = lookup(overcurrent.maximum_impedance_breaker_d_5_s).rows.get((device.rated_current_a,))
    return None if printed is None else printed * nominal_voltage_to_earth_v / overcurrent.table_voltage_v.value


def instantaneous_multiple(curve: Curve, limits: Limits) -> float:
    """The multiple of its rated current at which a circuit-breaker of a curve acts instantaneously."""
    return lookup(limits.devices.instantaneous_multiples).rows[(curve, "operating")]


def non_tripping_multiple(curve: Curve, limits: Limits) -> float:
    """The multiple of its rated current at which a circuit-breaker of a curve must not act instantaneously."""
    return lookup(limits.devices.instantaneous_multiples).rows[(curve, "non_operating")]


def fuse_table(standard: str | None, limits: Limits) -> Table | None:
    """The table of maximum impedances of a fuse standard."""
    if standard == "BS 88-3":
        return limits.overcurrent.maximum_impedance_bs_88_3
    if standard == "BS 88-2":
        return limits.overcurrent.maximum_impedance_bs_88_2
    if standard == "BS 3036":
        return limits.overcurrent.maximum_impedance_bs_3036
    return None


def _fuse(device: Device, time_s: float, limits: Limits) -> float:
    table = fuse_table(device.standard, limits)
    if table is None:
        raise MissingFactError(f"devices.{device.id}.standard")
    times, impedances = lookup(table).column(device.rated_current_a)
    place = bisect_right(times, time_s)
    if not place:
        raise MissingFactError(f"devices.{device.id}.rated_current_a")
    return impedances[place - 1]


def overcurrent_time_s(
    device: Device, loop_ohm: float, nominal_voltage_to_earth_v: float, limits: Limits
) -> float | None:
    """The time within which an overcurrent device clears an earth fault, in s; None where nothing is promised.

    A circuit-breaker: its instantaneous time, from Ia on. A fuse: the shortest tabulated time whose
    impedance is not exceeded. *Raises* MissingFactError.
    """
    share = nominal_voltage_to_earth_v / limits.overcurrent.table_voltage_v.value
    if device.kind is not DeviceKind.FUSE:
        reached = within(loop_ohm, share * _breaker(device, limits))
        return limits.devices.overcurrent["instantaneous_break_time"].value / PER_MILLI if reached else None
    table = fuse_table(device.standard, limits)
    if table is None:
        raise MissingFactError(f"devices.{device.id}.standard")
    times, impedances = lookup(table).column(device.rated_current_a)
    for time_s, ohm in zip(times, impedances, strict=True):
        if within(loop_ohm, share * ohm):
            return time_s
    return None


def is_rewirable(device: Device) -> bool:
    """True for a rewirable fuse to BS 3036."""
    return device.kind is DeviceKind.FUSE and device.standard == "BS 3036"
