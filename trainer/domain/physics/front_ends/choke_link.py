"""A diode bridge, a choke in the positive pole, a link capacitor and a load: stepped.

States: choke current i, link voltage V, difference D of the two halves of the link (0 unless the
middle is faulted). With a the place of the fault, V2 = a V - D/2 below it and V1 = (1-a) V + D/2
above it, U and W the highest and lowest terminal potential:

  v_x = min(W + V2, R_f i)                 a lower diode conducts, or the choke feeds the fault alone
  L di/dt = U - v_x - V1                   while i > 0
  C dV/dt = i - a v_x / R_f - V / R
  dD/dt = v_x / (2 R_f C) - D / (R C)      middle only

Four linear modes, each stepped with its exact exponential for potentials held over a step.
"""

from __future__ import annotations

import math
from itertools import groupby
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from trainer.domain.physics.front_ends.capacitor_link import FRACTIONS
from trainer.domain.physics.front_ends.parameters import Circuit
from trainer.domain.physics.front_ends.supply import line_and_neutral_v, three_lines_v
from trainer.domain.physics.waveform import FUNDAMENTAL_HZ, Samples

Matrix = NDArray[np.float64]
State = tuple[float, float, float]

BOTH, FEEDS, IDLE, TAKES = range(4)
"""Choke and lower diode conduct; choke feeds the fault alone; nothing; a lower diode alone."""

_MAXIMUM_ROUNDS = 8
_SETTLED = 5e-3
"""Volts and amperes by which a pass may miss its start."""

_DRY_A = 1e-3


class _Elements(NamedTuple):
    fraction: float
    choke_h: float
    capacitance_f: float
    load_s: float
    fault_s: float


class _Mode(NamedTuple):
    """One linear mode over a step: next = transition x + drive (U, W); v_x = output (x, U, W)."""

    transition: Matrix
    drive: Matrix
    output: tuple[float, ...]


class _Run(NamedTuple):
    """One pass over the span of the potentials from a start state."""

    potential_v: list[float]
    modes: list[int]
    end: State


def single_phase_v(circuit: Circuit) -> Samples:
    """v_x behind a bridge between line and neutral, in V at the half-step samples."""
    return _fault_potential_v(circuit, *line_and_neutral_v(circuit), repeats=1)


def six_pulse_v(circuit: Circuit) -> Samples:
    """v_x behind a three-phase bridge, in V; it repeats every third of a period."""
    repeats = 3 if circuit.samples % 3 == 0 else 1
    return _fault_potential_v(circuit, *three_lines_v(circuit), repeats=repeats)


def _fault_potential_v(circuit: Circuit, highest: Samples, lowest: Samples, *, repeats: int) -> Samples:
    if FRACTIONS[circuit.fault_point] == 0.0:
        return lowest
    span = highest.size // repeats
    elements = _elements(circuit, highest - lowest)
    # A pass starts where the rectified voltage is lowest: there a choke that runs dry is dry.
    first = int(np.argmin(highest[:span] - lowest[:span]))
    turned = (np.roll(highest[:span], -first), np.roll(lowest[:span], -first))
    potential = _periodic(elements, *turned, circuit.samples)
    return np.tile(np.roll(potential, first), repeats)


def _elements(circuit: Circuit, spread: Samples) -> _Elements:
    """The elements; the load takes its power as R = V^2 / P at the mean rectified voltage."""
    return _Elements(
        fraction=FRACTIONS[circuit.fault_point],
        choke_h=circuit.choke_inductance_mh * 1e-3,
        capacitance_f=circuit.link_capacitance_uf * 1e-6,
        load_s=circuit.load_power_w / float(spread.mean()) ** 2,
        fault_s=1.0 / circuit.fault_resistance_ohm,
    )


def _periodic(elements: _Elements, highest: Samples, lowest: Samples, samples: int) -> Samples:
    """Newton's rounds on the start state until one pass returns to it.

    The modes are linear, so the derivative of a pass is the product of their transitions. Where
    the choke runs dry, a start too high loses link voltage in the pass and one too low gains it;
    a step out of that bracket is replaced by its middle.
    """
    step_s = 1.0 / (FUNDAMENTAL_HZ * samples)
    modes = _modes(elements, step_s)
    spread = highest - lowest
    start = np.array([elements.load_s * float(spread.mean()), float(spread.mean()), 0.0])
    bracket = (0.0, 2.0 * float(spread.max()))
    potentials = (highest.tolist(), lowest.tolist())
    for _ in range(_MAXIMUM_ROUNDS):
        run = _pass(modes, elements, potentials, tuple(start.tolist()), step_s)
        miss = np.array(run.end) - start
        if float(np.abs(miss).max()) < _SETTLED:
            break
        runs_dry = max(start[0], run.end[0]) < _DRY_A
        if runs_dry:
            bracket = (start[1], bracket[1]) if miss[1] > 0.0 else (bracket[0], start[1])
        start = start + _newton_step(_derivative(modes, run.modes), miss)
        if runs_dry and not bracket[0] < start[1] < bracket[1]:
            start = np.array([run.end[0], (bracket[0] + bracket[1]) / 2.0, run.end[2]])
        start[0] = max(start[0], 0.0)
    return np.array(run.potential_v)


def _newton_step(derivative: Matrix, miss: Samples) -> Samples:
    """(1 - derivative)^-1 miss; the miss itself where a pass leaves some state as it was."""
    try:
        step: Samples = np.linalg.solve(np.eye(3) - derivative, miss).astype(np.float64)
    except np.linalg.LinAlgError:
        return miss
    return step


def _derivative(modes: tuple[_Mode, ...], visited: list[int]) -> Matrix:
    """d(end)/d(start) of a pass. A mode below 0 marks a step at whose end the choke ran dry."""
    product = np.eye(3)
    for visit, group in groupby(visited):
        transition = modes[visit if visit >= 0 else -visit - 1].transition
        if visit < 0:
            transition = np.diag([0.0, 1.0, 1.0]) @ transition
        product = np.linalg.matrix_power(transition, len(list(group))) @ product
    return product


def _pass(
    modes: tuple[_Mode, ...],
    elements: _Elements,
    potentials: tuple[list[float], list[float]],
    start: State,
    step_s: float,
) -> _Run:
    """Step once through the potentials; the mode of a step is chosen at its start."""
    current, voltage, difference = start
    fraction, fault_ohm = elements.fraction, 1.0 / elements.fault_s
    rows = [(*mode.transition.ravel().tolist(), *mode.drive.ravel().tolist(), *mode.output) for mode in modes]
    potential_v: list[float] = []
    visited: list[int] = []
    for high, low in zip(*potentials, strict=True):
        lower = low + fraction * voltage - 0.5 * difference
        upper = high - (1.0 - fraction) * voltage - 0.5 * difference
        if current > 0.0 or upper > min(lower, 0.0):
            mode = BOTH if lower <= fault_ohm * current else FEEDS
        else:
            mode = TAKES if lower < 0.0 else IDLE
        (a, b, c, d, e, f, g, h, i, p, q, r, s, t, u, j, k, m, n, o) = rows[mode]
        at_half_step = j * current + k * voltage + m * difference + n * high + o * low
        before = current
        current, voltage, difference = (
            a * current + b * voltage + c * difference + p * high + q * low,
            d * current + e * voltage + f * difference + r * high + s * low,
            g * current + h * voltage + i * difference + t * high + u * low,
        )
        after = low + fraction * voltage - 0.5 * difference
        if mode == BOTH and after > fault_ohm * current and lower <= fault_ohm * before:
            at_half_step, current = _handed_over((before, current), (lower, after), upper, elements, step_s)
            mode = FEEDS
        at_half_step = min(max(at_half_step, 0.0), max(lower, after)) if mode == FEEDS else at_half_step
        if current <= 0.0 and mode in {BOTH, FEEDS}:
            current = 0.0
            mode = -mode - 1
        potential_v.append(at_half_step)
        visited.append(mode)
    return _Run(potential_v, visited, (current, voltage, difference))


def _handed_over(
    currents: tuple[float, float], lowers: tuple[float, float], upper: float, elements: _Elements, step_s: float
) -> tuple[float, float]:
    """v_x at the half step and choke current at the end of a step in which the lower diode stops.

    It stops where W + V2 = R_f i, taken as linear over the step; from there the choke current runs
    to (U - V1) / R_f with L / R_f, which may be far shorter than the step, and stays at 0 if it
    gets there.
    """
    fault_ohm = 1.0 / elements.fault_s
    start, end = (lower - fault_ohm * current for lower, current in zip(lowers, currents, strict=True))
    stop = start / (start - end)
    at_stop = currents[0] + stop * (currents[1] - currents[0])
    final = upper / fault_ohm
    per_step = step_s * fault_ohm / elements.choke_h

    def current_at(part: float) -> float:
        return max(0.0, final + (at_stop - final) * math.exp(-(part - stop) * per_step))

    middle = (lowers[0] + lowers[1]) / 2.0
    at_half_step = middle if stop >= 0.5 else min(middle, fault_ohm * current_at(0.5))
    return at_half_step, current_at(1.0)


def _modes(elements: _Elements, step_s: float) -> tuple[_Mode, ...]:
    """The four modes in the order BOTH, FEEDS, IDLE, TAKES, each over one step."""
    a, choke, capacitance, load, fault = elements
    at_lower = np.array([0.0, a, -0.5, 0.0, 1.0])
    above = np.array([0.0, 1.0 - a, 0.5, 0.0, 0.0])
    by_choke = np.array([1.0 / fault, 0.0, 0.0, 0.0, 0.0])
    nothing = np.zeros(5)
    highest = np.array([0.0, 0.0, 0.0, 1.0, 0.0])
    modes = []
    for output, conducts in ((at_lower, True), (by_choke, True), (nothing, False), (at_lower, False)):
        choke_row = (highest - output - above) / choke if conducts else nothing
        flow = np.array([1.0, 0.0, 0.0, 0.0, 0.0]) if conducts else nothing
        link_row = (flow - a * fault * output - load * np.eye(5)[1]) / capacitance
        into_middle = fault * output / 2.0 if a == 0.5 else nothing
        middle_row = (into_middle - load * np.eye(5)[2]) / capacitance
        modes.append(_stepped(np.array([choke_row, link_row, middle_row]), output, step_s))
    return tuple(modes)


def _stepped(rates: Matrix, output: Matrix, step_s: float) -> _Mode:
    """A mode from its rates dx/dt = rates (x, U, W), shape (3, 5), with U and W held."""
    full = np.zeros((5, 5))
    full[:3] = rates
    half = _exponential(full * (step_s / 2.0))
    whole = half @ half
    at_middle = output[:3] @ half[:3] + np.concatenate((np.zeros(3), output[3:]))
    return _Mode(whole[:3, :3], whole[:3, 3:], tuple(at_middle.tolist()))


def _exponential(matrix: Matrix) -> Matrix:
    """exp(M) by scaling, a Taylor sum of eight terms and squaring."""
    norm = float(np.abs(matrix).sum(axis=1).max())
    squarings = max(0, int(np.ceil(np.log2(max(norm, 1e-12)))) + 4)
    scaled = matrix / 2.0**squarings
    result = np.eye(5)
    for term in range(8, 0, -1):
        result = np.eye(5) + (scaled / term) @ result
    for _ in range(squarings):
        result = result @ result
    return result
