"""Front ends whose fault potential follows from the terminal potentials at the same instant.

Everything behind the terminals meets the outside world through the live conductors and the
fault only, so the residual current is i = v_x / R_f with v_x the potential of the faulted point.
Each solver returns v_x in V at the half-step samples.
"""

from __future__ import annotations

import math

import numpy as np

from trainer.domain.physics.front_ends.parameters import Circuit, FaultPoint
from trainer.domain.physics.front_ends.supply import angles_rad, line_and_neutral_v, line_v, peak_v, three_lines_v
from trainer.domain.physics.waveform import Samples


def faulted_line_v(circuit: Circuit) -> Samples:
    """v_x = sqrt(2) U sin(x): the line itself, before everything else."""
    return line_v(circuit)


def _fired(circuit: Circuit) -> Samples:
    """1 from the firing angle to the end of each half period, else 0."""
    half_deg = np.degrees(angles_rad(circuit.samples)) % 180.0
    return (half_deg > circuit.firing_angle_deg).astype(np.float64)


def phase_angle_v(circuit: Circuit) -> Samples:
    """v_x = v_L while the switch conducts, else 0: the load ties its terminal to neutral."""
    return line_v(circuit) * _fired(circuit)


def burst_v(circuit: Circuit) -> Samples:
    """v_x = v_L for the periods on, then 0 for the periods off."""
    on = np.tile(line_v(circuit), circuit.burst_on_periods)
    return np.concatenate((on, np.zeros(circuit.samples * circuit.burst_off_periods)))


def half_wave_v(circuit: Circuit) -> Samples:
    """v_x = max(v_L, 0) from the firing angle on: the load ties the cathode to neutral."""
    return np.maximum(line_v(circuit), 0.0) * _fired(circuit)


def half_wave_capacitor_v(circuit: Circuit) -> Samples:
    """v_x = max(v_L, V(x0) exp(-(x - x0) / w tau)) with tau = (R || R_f) C.

    The diode stops at x0 where C dv/dt = -v / (R || R_f), so tan(x0) = -w tau; the load takes its
    power as R = 2 U^2 / P at the peak voltage.
    """
    peak = peak_v(circuit)
    conductance_s = circuit.load_power_w / peak**2 + 1.0 / circuit.fault_resistance_ohm
    decay = 2.0 * math.pi * 50.0 * circuit.link_capacitance_uf * 1e-6 / conductance_s
    stop = math.pi - math.atan(decay)
    since = (angles_rad(circuit.samples) - stop) % (2.0 * math.pi)
    return np.maximum(line_v(circuit), peak * math.sin(stop) * np.exp(-since / decay))


def bridge_resistive_v(circuit: Circuit) -> Samples:
    """v_x = max(v_L, 0) at the positive pole, min(v_L, 0) at the negative one.

    While v_L < 0 the load would pull the positive pole to v_L R_f / (R_f + R), but the diode from
    neutral holds it at 0.
    """
    highest, lowest = line_and_neutral_v(circuit)
    return highest if circuit.fault_point is FaultPoint.DC_POSITIVE else lowest


def bridge_half_controlled_v(circuit: Circuit) -> Samples:
    """Thyristors at the positive pole, diodes at the negative one, resistive load.

    Negative pole: v_x = min(v_L, 0), since its diodes need no firing. Positive pole:
    v_x = max(v_L, 0) when fired; before firing the load pulls it to min(v_L, 0) R_f / (R_f + R),
    R = U^2 / P.
    """
    highest, lowest = line_and_neutral_v(circuit)
    if circuit.fault_point is FaultPoint.DC_NEGATIVE:
        return lowest
    load_ohm = circuit.supply_voltage_v**2 / circuit.load_power_w
    share = circuit.fault_resistance_ohm / (circuit.fault_resistance_ohm + load_ohm)
    return np.where(_fired(circuit) > 0.0, highest, lowest * share)


def three_pulse_v(circuit: Circuit) -> Samples:
    """v_x = max(v_1, v_2, v_3): three diodes in star, load to neutral."""
    return three_lines_v(circuit)[0]
