"""Inverters that feed the supply from a PV or battery voltage, without galvanic separation.

The switching ripple is left out: filters keep it from the supply and the models average over it.
Each solver returns v_x in V at the half-step samples; a is the place of the fault in the d.c.
circuit, 0 at the negative pole, 1 at the positive pole.
"""

from __future__ import annotations

import numpy as np

from trainer.domain.physics.front_ends.capacitor_link import FRACTIONS
from trainer.domain.physics.front_ends.parameters import Circuit
from trainer.domain.physics.front_ends.supply import line_v
from trainer.domain.physics.waveform import Samples


def full_bridge_v(circuit: Circuit) -> Samples:
    """v_x = v_L/2 + (a - 1/2) V_dc.

    Both legs switch against each other, so the middle of the d.c. circuit stays half-way between
    line and neutral.
    """
    return line_v(circuit) / 2.0 + _from_middle_v(circuit)


def line_frequency_leg_v(circuit: Circuit) -> Samples:
    """v_x = a V_dc while v_L > 0, (a - 1) V_dc while v_L < 0.

    The neutral leg ties neutral to the negative pole in one half period and to the positive pole
    in the other.
    """
    swing = np.where(line_v(circuit) > 0.0, 0.5, -0.5) * circuit.link_voltage_v
    return swing + _from_middle_v(circuit)


def middle_at_neutral_v(circuit: Circuit) -> Samples:
    """v_x = (a - 1/2) V_dc.

    Neutral is tied to the middle of the d.c. circuit (half-bridge, neutral-point clamped), or
    three legs keep it there on average (three-phase front end).
    """
    return np.full(circuit.samples, _from_middle_v(circuit))


def _from_middle_v(circuit: Circuit) -> float:
    return (FRACTIONS[circuit.fault_point] - 0.5) * circuit.link_voltage_v
