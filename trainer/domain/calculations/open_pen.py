"""What an open PEN conductor puts on the earthing terminal, and what an electrode can do against it.

With the PEN open the loads form a star whose middle is the earthing terminal. Loads are taken as
constant impedances and an electrode as one more branch; the formulas follow by node analysis.
*Source*: BS 7671 Annex A722 as corrected in May 2020.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import product
from typing import NamedTuple

_HALF = 0.5
_SINE_60 = math.sqrt(3.0) / 2.0
UNDEFINED = math.inf


class LineCurrents(NamedTuple):
    """Currents of the three lines in A; a line that feeds more into the network than it takes is negative."""

    l1_a: float
    l2_a: float
    l3_a: float


def neutral_current_a(lines: LineCurrents) -> float:
    """Im = sqrt((I1 - (I2 + I3)/2)^2 + (0.866 (I2 - I3))^2), in A. *Source*: A722.1."""
    i1, i2, i3 = lines
    return math.hypot(i1 - _HALF * (i2 + i3), _SINE_60 * (i2 - i3))


def sum_of_currents_a(lines: LineCurrents) -> float:
    """I1 + I2 + I3, in A."""
    return math.fsum(lines)


def open_pen_voltage_v(lines: LineCurrents, highest_voltage_v: float) -> float:
    """Voltage of the earthing terminal to Earth with the PEN open: Cmax U0 Im / (I1 + I2 + I3), in V.

    Infinite where the sum is not positive: the formula then has no meaning. *Source*: A722.2.
    """
    whole = sum_of_currents_a(lines)
    return highest_voltage_v * neutral_current_a(lines) / whole if whole > 0 else UNDEFINED


def permitted_neutral_current_a(lines: LineCurrents, highest_voltage_v: float, limit_v: float) -> float:
    """The neutral current at which the open-PEN voltage is just the limit, in A: A722.2 solved for Im."""
    return limit_v * sum_of_currents_a(lines) / highest_voltage_v


def additional_electrode_ohm(
    lines: LineCurrents, nominal_voltage_v: float, highest_voltage_v: float, limit_v: float
) -> float:
    """RA = 70 U0 / (Cmax U0 Im - 70 (I1 + I2 + I3)), in ohm: the electrode that keeps the limit.

    Infinite where the denominator is not positive: no electrode is needed. *Source*: A722.3.
    """
    excess = highest_voltage_v * neutral_current_a(lines) - limit_v * sum_of_currents_a(lines)
    return limit_v * nominal_voltage_v / excess if excess > 0 else UNDEFINED


def single_phase_electrode_ohm(
    current_a: float, nominal_voltage_v: float, highest_voltage_v: float, limit_v: float
) -> float:
    """RA = 70 U0 / (I (Cmax U0 - 70)), in ohm; I is the highest current of the whole installation.

    *Source*: A722.3 with one line.
    """
    return limit_v * nominal_voltage_v / (current_a * (highest_voltage_v - limit_v))


def credible_load_states(
    charging: LineCurrents, others: LineCurrents, generation: LineCurrents, base_load_a: float
) -> Iterator[LineCurrents]:
    """Every credible state while the vehicle charges: on each line the others are on or at base load.

    Generation on each line is on or off. Balanced three-phase loads are left off: they lower the
    voltage, so states without them are the worse ones.
    """
    lines = [
        [
            full + rest - source
            for rest in dict.fromkeys((base_load_a, max(base_load_a, other)))
            for source in dict.fromkeys((0.0, generated))
        ]
        for full, other, generated in zip(charging, others, generation, strict=True)
    ]
    for l1, l2, l3 in product(*lines):
        yield LineCurrents(l1, l2, l3)
