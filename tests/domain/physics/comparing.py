"""Compares a computed residual current with the simulated one."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from tests.domain.physics.netlists import netlist
from tests.domain.physics.spice import PERIOD_S, Samples, Span, simulate, simulate_means
from trainer.domain.physics.front_ends import FRONT_ENDS, FaultPoint, FrontEndParameters, waveform
from trainer.domain.physics.waveform import Waveform
from trainer.domain.vocabulary import FrontEnd

SWITCHED = {
    FrontEnd.BRIDGE_POWER_FACTOR_STAGE,
    FrontEnd.CONVERTER_SINGLE_PHASE,
    FrontEnd.CONVERTER_THREE_PHASE,
    FrontEnd.INVERTER_FULL_BRIDGE,
    FrontEnd.INVERTER_LINE_FREQUENCY_LEG,
    FrontEnd.INVERTER_HALF_BRIDGE,
    FrontEnd.INVERTER_THREE_PHASE,
}
"""Front ends with pulse-width modulation: compared below 2 kHz only."""

HIGHEST_COMPARED_HZ = 2000.0
COUNTS = ("burst_on_periods", "burst_off_periods")


class Comparison(NamedTuple):
    """Relative error of the r.m.s. difference, and both mean values in mA."""

    relative_rms_error: float
    computed_mean_ma: float
    simulated_mean_ma: float


def compare(front_end: FrontEnd, point: FaultPoint, **given: float) -> Comparison:
    """One fault computed and simulated with the same quantities."""
    values = {parameter.name: parameter.default for parameter in FRONT_ENDS[front_end].parameters} | given
    quantities = {name: int(value) if name in COUNTS else value for name, value in values.items()}
    computed = waveform(front_end, point, FrontEndParameters(**quantities))  # type: ignore[arg-type]
    if front_end in SWITCHED:
        # Whole output periods to settle, so that the kept part starts at the same phase.
        span = Span(max(1, computed.periods), computed.periods, 3600, 1.0)
        simulated = simulate_means(netlist(front_end, point, values), span)
        error = _error_below_limit(computed, simulated)
    else:
        settle = 25 - 25 % computed.periods
        simulated = simulate(netlist(front_end, point, values), Span(settle, computed.periods, 360, 10.0))
        error = _norm(computed.residual_current_ma - simulated) / _norm(simulated)
    return Comparison(error, computed.mean_ma, float(simulated.mean()))


def _norm(values: NDArray[np.float64]) -> float:
    return float(np.sqrt(np.mean(np.square(values))))


def _error_below_limit(computed: Waveform, simulated: Samples) -> float:
    ours = _lines(computed.residual_current_ma, computed.periods)
    theirs = _lines(simulated, computed.periods)
    return _norm(np.abs(ours - theirs)) / _norm(np.abs(theirs))


def _lines(values: Samples, periods: int) -> NDArray[np.complex128]:
    """Complex lines below the limit, phases counted from the start of the supply's period."""
    lines = np.fft.rfft(values) / values.size
    hertz = np.arange(lines.size) / (periods * PERIOD_S)
    half_step_s = PERIOD_S * periods / values.size / 2.0
    turned = lines * np.exp(-2j * np.pi * hertz * half_step_s)
    turned[1:] *= np.sqrt(2.0)
    below: NDArray[np.complex128] = turned[hertz < HIGHEST_COMPARED_HZ]
    return below
