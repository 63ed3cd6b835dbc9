"""A bridge between line and neutral with a boost power-factor stage that holds its link voltage."""

from __future__ import annotations

import numpy as np

from trainer.domain.physics.front_ends.capacitor_link import FRACTIONS
from trainer.domain.physics.front_ends.parameters import Circuit
from trainer.domain.physics.front_ends.supply import line_and_neutral_v
from trainer.domain.physics.waveform import Samples


def power_factor_stage_v(circuit: Circuit) -> Samples:
    """v_x = v_M + a V_b, in V at the half-step samples; v_M is the potential of the negative pole.

    The stage draws its current through the resistance R_e = U^2 / P, averaged over its switching.
    While a lower diode conducts v_M = W; otherwise the stage feeds the fault alone and
    (U - v_M) / R_e = (v_M + a V_b) / R_f. The lower of the two holds:
    v_M = min(W, (U/R_e - a V_b/R_f) / (1/R_e + 1/R_f)).

    Averaged: below some 500 W the filter capacitor behind the bridge carries a part of the
    current near the zero crossing, and a real stage dips up to 4 % less.
    """
    highest, lowest = line_and_neutral_v(circuit)
    link_v = FRACTIONS[circuit.fault_point] * circuit.link_voltage_v
    stage_s = circuit.load_power_w / circuit.supply_voltage_v**2
    fault_s = 1.0 / circuit.fault_resistance_ohm
    alone = (highest * stage_s - link_v * fault_s) / (stage_s + fault_s)
    return np.minimum(lowest, alone) + link_v
