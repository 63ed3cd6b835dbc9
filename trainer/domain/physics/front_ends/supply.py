"""Potentials of the supply terminals against the earthed neutral."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from trainer.domain.physics.front_ends.parameters import Circuit
from trainer.domain.physics.waveform import Samples


@lru_cache(maxsize=32)
def angles_rad(samples: int) -> Samples:
    """Half-step angles (k + 1/2) 2 pi / samples of one period, shape (samples,)."""
    angles = (np.arange(samples, dtype=np.float64) + 0.5) * (2.0 * math.pi / samples)
    angles.flags.writeable = False
    return angles


@lru_cache(maxsize=32)
def _unit_lines(samples: int) -> Samples:
    """sin(x), sin(x - 120 deg), sin(x + 120 deg), shape (3, samples)."""
    shifts = np.array([[0.0], [-2.0], [2.0]]) * (math.pi / 3.0)
    lines: Samples = np.sin(angles_rad(samples)[np.newaxis, :] + shifts)
    lines.flags.writeable = False
    return lines


def peak_v(circuit: Circuit) -> float:
    """Peak voltage of a line against neutral: sqrt(2) U."""
    return math.sqrt(2.0) * circuit.supply_voltage_v


def line_v(circuit: Circuit) -> Samples:
    """Potential of the first line in V: sqrt(2) U sin(x), shape (samples,)."""
    line: Samples = peak_v(circuit) * _unit_lines(circuit.samples)[0]
    return line


def line_and_neutral_v(circuit: Circuit) -> tuple[Samples, Samples]:
    """Highest and lowest of line and neutral in V, each of shape (samples,)."""
    line = line_v(circuit)
    return np.maximum(line, 0.0), np.minimum(line, 0.0)


def two_lines_v(circuit: Circuit) -> tuple[Samples, Samples]:
    """Highest and lowest of the first two lines in V, each of shape (samples,)."""
    lines = peak_v(circuit) * _unit_lines(circuit.samples)[:2]
    return np.maximum(lines[0], lines[1]), np.minimum(lines[0], lines[1])


def three_lines_v(circuit: Circuit) -> tuple[Samples, Samples]:
    """Highest and lowest of the three lines in V, each of shape (samples,)."""
    lines = peak_v(circuit) * _unit_lines(circuit.samples)
    return lines.max(axis=0), lines.min(axis=0)
