"""Adiabatic heating: the energy that a device lets through, and the conductor that withstands it."""

from __future__ import annotations

import math
from bisect import bisect_left

from trainer.domain.cables import Cable, CableType, Circuit
from trainer.domain.calculations.disconnection import fuse_table, maximum_impedance_ohm
from trainer.domain.calculations.facts import PER_MILLI, MissingFactError
from trainer.domain.calculations.lookup import lookup
from trainer.domain.calculations.loops import ARMOURED, armour_milliohm_per_m
from trainer.domain.devices import Device
from trainer.domain.limits import Limits
from trainer.domain.vocabulary import DeviceKind


def energy_a2s(current_a: float, time_s: float) -> float:
    """The energy I^2 t of a current that flows for a time, in A2s."""
    return current_a**2 * time_s


def withstanding_mm2(energy_a2s: float, k: float) -> float:
    """The least cross-section that withstands an energy, in mm2.

    S = sqrt(I^2 t) / k. *Source*: BS 7671 434.5.2, 543.1.3.
    """
    return math.sqrt(energy_a2s) / k


def let_through_a2s(device: Device, fault_current_a: float, limits: Limits) -> float | None:
    """The energy I^2 t that an overcurrent device lets through at most, in A2s.

    A circuit-breaker that acts instantaneously: I^2 times its instantaneous time. A fuse: its
    energy never rises with the current, so Ia^2 t of the quickest tabulated time that the current
    reaches. None where the current reaches no time. *Raises* MissingFactError.
    """
    if device.kind is DeviceKind.FUSE:
        return _fuse_energy(device, fault_current_a, limits)
    tables_v = limits.overcurrent.table_voltage_v.value
    needed = _current_a(maximum_impedance_ohm(device, 0, tables_v, limits), limits)
    if fault_current_a < needed:
        return None
    return energy_a2s(fault_current_a, limits.devices.overcurrent["instantaneous_break_time"].value / PER_MILLI)


def _fuse_energy(device: Device, fault_current_a: float, limits: Limits) -> float | None:
    table = fuse_table(device.standard, limits)
    if table is None:
        raise MissingFactError(f"devices.{device.id}.standard")
    times, impedances = lookup(table).column(device.rated_current_a)
    if not times:
        raise MissingFactError(f"devices.{device.id}.rated_current_a")
    for time_s, ohm in zip(times, impedances, strict=True):
        needed = _current_a(ohm, limits)
        if fault_current_a >= needed:
            return energy_a2s(needed, time_s)
    return None


def _current_a(impedance_ohm: float, limits: Limits) -> float:
    """Ia behind a tabulated impedance: U0 * Cmin / Zs."""
    overcurrent = limits.overcurrent
    return overcurrent.table_voltage_v.value * overcurrent.minimum_voltage_factor.value / impedance_ohm


def live_conductor_k(cable: Cable, limits: Limits) -> float:
    """k of the live conductors of a cable."""
    return limits.earthing.k_factor["live_90" if _is_thermosetting(cable) else "live_70"].value


def protective_conductor(circuit: Circuit, cable: Cable, limits: Limits) -> tuple[float, float]:
    """Cross-section in mm2 and k of a circuit's protective conductor: a core, or the armour."""
    factors = limits.earthing.k_factor
    size = cable.protective_conductor_mm2
    hot = _is_thermosetting(cable)
    if size is not None:
        return size, factors["in_cable_90" if hot else "in_cable_70"].value
    if cable.type not in ARMOURED:
        raise MissingFactError(f"circuits.{circuit.id}.cable.protective_conductor_mm2")
    area = limits.earthing.steel_resistivity_milliohm_mm2_per_m.value / armour_milliohm_per_m(circuit, cable, limits)
    return area, factors["armour_90" if hot else "armour_70"].value


def _is_thermosetting(cable: Cable) -> bool:
    return cable.type is CableType.ARMOURED_THERMOSETTING_90


def tabulated_protective_conductor_mm2(line_mm2: float, limits: Limits) -> float:
    """The protective conductor of the line conductor's material that needs no calculation, in mm2.

    S up to 16 mm2, 16 mm2 up to 35 mm2, half of S above. *Source*: BS 7671 Table 54.7.
    """
    table = limits.earthing.protective_conductor_table_mm2
    equal = table["equal_up_to"].value
    if line_mm2 <= equal:
        return line_mm2
    if line_mm2 <= table["constant_up_to"].value:
        return equal
    return line_mm2 * limits.earthing.protective_conductor_share.value


def least_by_breaker_mm2(device: Device, limits: Limits) -> float | None:
    """The protective conductor that guidance accepts below a circuit-breaker by its energy class, in mm2."""
    if device.kind is DeviceKind.FUSE or device.curve is None:
        return None
    rated, sizes = lookup(limits.earthing.protective_conductor_by_breaker).column(device.curve)
    place = bisect_left(rated, device.rated_current_a)
    return sizes[place] if place < len(sizes) else None
