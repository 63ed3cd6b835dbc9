"""A diode bridge on a link capacitor: the fault potential at either pole and at the middle.

With U and W the highest and lowest terminal potential, V1 and V2 the voltages of the upper and
lower half of the link, the middle sits at v_x = median(0, U - V1, W + V2): an upper diode feeds
the fault, a lower diode takes from it, or no diode conducts and no current flows. At the positive
pole V1 = 0 and V2 is the whole link voltage V; at the negative pole the reverse.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from trainer.domain.physics.front_ends.parameters import Circuit, FaultPoint
from trainer.domain.physics.front_ends.supply import line_and_neutral_v, three_lines_v, two_lines_v
from trainer.domain.physics.waveform import FUNDAMENTAL_HZ, Samples

FRACTIONS = {
    FaultPoint.DC_NEGATIVE: 0.0,
    FaultPoint.DC_MIDDLE: 0.5,
    FaultPoint.DC_POSITIVE: 1.0,
}
"""Place of the fault in the link: 0 at the negative pole, 1 at the positive pole."""

_MAXIMUM_ROUNDS = 30
_SETTLED_V = 1e-3


class _Link(NamedTuple):
    """Terminal potentials in V, shape (n,), the place of the fault and the elements."""

    highest: Samples
    lowest: Samples
    fraction: float
    leak_per_s: float
    """1 / (R C): how the load empties the link."""
    fault_per_s: float
    """1 / (R_f C)."""
    step_s: float


def single_phase_v(circuit: Circuit) -> Samples:
    """v_x behind a bridge between line and neutral, in V at the half-step samples."""
    return _fault_potential_v(circuit, *line_and_neutral_v(circuit))


def between_lines_v(circuit: Circuit) -> Samples:
    """v_x behind a bridge between two lines, in V at the half-step samples."""
    return _fault_potential_v(circuit, *two_lines_v(circuit))


def six_pulse_v(circuit: Circuit) -> Samples:
    """v_x behind a three-phase bridge, in V at the half-step samples."""
    return _fault_potential_v(circuit, *three_lines_v(circuit))


def _fault_potential_v(circuit: Circuit, highest: Samples, lowest: Samples) -> Samples:
    fraction = FRACTIONS[circuit.fault_point]
    if fraction == 1.0 and float(highest.min()) >= 0.0:
        return highest
    if fraction == 0.0 and float(lowest.max()) <= 0.0:
        return lowest
    return _solved(_link(circuit, highest, lowest, fraction))


def _link(circuit: Circuit, highest: Samples, lowest: Samples, fraction: float) -> _Link:
    """The elements; the load takes its power as R = V^2 / P at the peak link voltage."""
    capacitance_f = circuit.link_capacitance_uf * 1e-6
    nominal_v = float((highest - lowest).max())
    return _Link(
        highest=highest,
        lowest=lowest,
        fraction=fraction,
        leak_per_s=circuit.load_power_w / nominal_v**2 / capacitance_f,
        fault_per_s=1.0 / (circuit.fault_resistance_ohm * capacitance_f),
        step_s=1.0 / (FUNDAMENTAL_HZ * highest.size),
    )


def _solved(link: _Link) -> Samples:
    """Rounds of: diodes that conduct, link voltage, shift of the middle, until nothing moves.

    The difference D = V1 - V2 of the halves follows dD/dt = v_x / (2 R_f C) - D / (R C); a fault
    at a pole leaves D at 0. The sum V follows from :func:`_link_voltage_v`.
    """
    difference = np.zeros_like(link.highest)
    voltage = _link_voltage_v(link, difference, difference > 0.0, difference > 0.0)
    potential = np.full_like(voltage, np.inf)
    for _ in range(_MAXIMUM_ROUNDS):
        upper = link.highest - (1.0 - link.fraction) * voltage - difference / 2.0
        lower = link.lowest + link.fraction * voltage - difference / 2.0
        before, potential = potential, np.clip(0.0, upper, lower)
        if float(np.abs(potential - before).max()) < _SETTLED_V:
            break
        voltage = _link_voltage_v(link, difference, upper > 0.0, lower < 0.0)
        if link.fraction == 0.5:
            difference = _difference_v(link, potential, difference)
    return potential


def _link_voltage_v(link: _Link, difference: Samples, feeds: NDArray[np.bool_], takes: NDArray[np.bool_]) -> Samples:
    """Link voltage V in V: charged to U - W by the bridge, else dV/dt = g - r V.

    While an upper diode alone feeds the fault, (1-a) of its current charges the link; while a
    lower diode alone takes from it, a of it does. In the variable V exp(integral of r) minus the
    integral of g exp(integral of r) both modes become a running maximum. Two periods settle it.
    """
    above, below = 1.0 - link.fraction, link.fraction
    half = difference / 2.0
    rate = link.leak_per_s + link.fault_per_s * (feeds * above**2 + takes * below**2)
    gain = link.fault_per_s * (feeds * above * (link.highest - half) - takes * below * (link.lowest - half))
    spread = np.tile(link.highest - link.lowest, 2)
    exponent = np.cumsum(np.tile(rate, 2)) * link.step_s
    growth = np.exp(exponent - exponent[-1])
    fed = np.cumsum(np.tile(gain, 2) * growth) * link.step_s
    charged = np.maximum.accumulate(spread * growth - fed) + fed
    voltage: Samples = (charged / growth)[link.highest.size :]
    return voltage


def _difference_v(link: _Link, potential: Samples, difference: Samples) -> Samples:
    """Periodic solution of dD/dt + (b + 1/(R C)) D = v_x / (2 R_f C) + b D_before.

    b = 1 / (4 R_f C) is the feedback of D on v_x while a diode conducts; taken on the left it
    makes the rounds settle for every capacitance.
    """
    feedback = link.fault_per_s / 4.0
    drive = np.fft.rfft(potential * (link.fault_per_s / 2.0) + feedback * difference)
    angular = 2.0j * np.pi * FUNDAMENTAL_HZ * np.arange(drive.size)
    solved: Samples = np.fft.irfft(drive / (angular + feedback + link.leak_per_s), potential.size)
    return solved
