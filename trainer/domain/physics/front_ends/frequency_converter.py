"""The output terminal of a frequency converter: pulse-width modulation between the two poles.

s(t) is 1 while the upper switch of the leg is on. The pole potentials are max(0, ...) and
min(0, ...) of the supply, whatever the link voltage, so v_x = s U + (1 - s) W with U and W the
highest and lowest terminal potential. A sample is a weighted mean of s over two steps: it never
leaves the range of the poles, keeps the lines below 1 kHz within 2 % at one sample per degree, and
folds next to nothing of the carrier down to where residual current devices look.
"""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np

from trainer.domain.physics.front_ends.parameters import Circuit
from trainer.domain.physics.front_ends.supply import line_and_neutral_v, three_lines_v
from trainer.domain.physics.waveform import FUNDAMENTAL_HZ, Samples

_SOLVING_ROUNDS = 4
_WEIGHTS = (0.125, 0.375, 0.375, 0.125)
"""Weights of four half steps round a sample: a triple zero at the sampling rate."""


def single_phase_output_v(circuit: Circuit) -> Samples:
    """v_x = s max(v_L, 0) + (1 - s) min(v_L, 0) in V over whole periods of supply and output."""
    return _output_v(circuit, *line_and_neutral_v(circuit))


def three_phase_output_v(circuit: Circuit) -> Samples:
    """v_x = s U + (1 - s) W in V over whole periods of supply and output."""
    return _output_v(circuit, *three_lines_v(circuit))


def periods_spanned(output_frequency_hz: float) -> int:
    """The fewest 50 Hz periods that hold whole periods of an output frequency in whole hertz."""
    ratio = Fraction(round(output_frequency_hz), round(FUNDAMENTAL_HZ))
    return ratio.denominator


def modulation(output_frequency_hz: float) -> float:
    """Depth of modulation f / 50 Hz, at most 1: the output voltage follows the frequency."""
    return min(1.0, output_frequency_hz / FUNDAMENTAL_HZ)


def _output_v(circuit: Circuit, highest: Samples, lowest: Samples) -> Samples:
    periods = periods_spanned(circuit.output_frequency_hz)
    duty = _mean_switching(circuit, periods)
    spread = np.tile(highest - lowest, periods)
    return duty * spread + np.tile(lowest, periods)


def _mean_switching(circuit: Circuit, periods: int) -> Samples:
    """Weighted mean of s round each sample, shape (periods * samples,).

    The on-time up to t is piecewise linear between the switching instants, so the means over
    half steps are exact; four of them make a sample.
    """
    duration_s = periods / FUNDAMENTAL_HZ
    carriers = round(circuit.carrier_frequency_hz * duration_s)
    carrier_s = duration_s / carriers
    off, on = _switching_instants_s(circuit, np.arange(carriers, dtype=np.float64) * carrier_s, carrier_s)
    instants = np.concatenate(([0.0], np.column_stack((off, on)).ravel(), [duration_s]))
    lengths = np.diff(instants)
    lengths[1::2] = 0.0
    on_time_s = np.concatenate(([0.0], np.cumsum(lengths)))
    edges = np.linspace(0.0, duration_s, 2 * periods * circuit.samples + 1)
    halves = np.diff(np.interp(edges, instants, on_time_s)) / (edges[1] - edges[0])
    first, second = halves[0::2], halves[1::2]
    before, after = np.roll(second, 1), np.roll(first, -1)
    quarters = (before, first, second, after)
    mean: Samples = np.einsum("i,ij->j", np.array(_WEIGHTS), np.array(quarters))
    return mean


def _switching_instants_s(circuit: Circuit, starts: Samples, carrier_s: float) -> tuple[Samples, Samples]:
    """Instants at which s falls and rises again in each carrier period, in s.

    The carrier rises from -1 to 1 in the first half of its period and falls back in the second;
    s = 1 while the reference m sin(2 pi f t) is above it. Each crossing is a fixed point.
    """
    depth = modulation(circuit.output_frequency_hz)
    angular = 2.0 * math.pi * circuit.output_frequency_hz
    off = starts + carrier_s / 4.0
    on = starts + carrier_s * 0.75
    for _ in range(_SOLVING_ROUNDS):
        off = starts + (depth * np.sin(angular * off) + 1.0) * (carrier_s / 4.0)
        on = starts + carrier_s - (depth * np.sin(angular * on) + 1.0) * (carrier_s / 4.0)
    return off, on
