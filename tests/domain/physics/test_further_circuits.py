"""Circuits that were not used to set any threshold, simulated and then classed.

Expected classes are argued from the circuit (source: reasoning beside each row, no print):
what the faulted pole is tied to and for how long.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from tests.domain.physics.further_netlists import CIRCUITS
from tests.domain.physics.spice import Span, simulate_means
from trainer.domain.physics.classification import ResidualClass, classify, least_type
from trainer.domain.physics.waveform import Waveform
from trainer.domain.vocabulary import RcdType

PEAK_MA = math.sqrt(2.0) * 230.0
"""Peak phase voltage over one kilohm."""

EXPECTED = [
    # The capacitor holds the pole near the peak: ripple of some 6 % only.
    ("voltage doubler", ResidualClass.SMOOTH_DC, RcdType.B),
    # The direct bridge ties the pole to the highest line: three pulses that never come to rest.
    ("twelve-pulse", ResidualClass.PULSATING_ON_SMOOTH_DC, RcdType.B),
    ("controlled six-pulse, 30 deg", ResidualClass.PULSATING_ON_SMOOTH_DC, RcdType.B),
    ("controlled six-pulse, 60 deg", ResidualClass.PULSATING_ON_SMOOTH_DC, RcdType.B),
    # The neutral leg ties the pole to 0 for half of each period: pulsating d.c. by the definition,
    # but a flat pulse, and type A is tested with half-waves only.
    ("totem-pole power-factor stage", ResidualClass.PULSATING_DC, RcdType.B),
]


@pytest.fixture(scope="module")
def simulated(tool: Callable[[str], str]) -> Callable[[str], Waveform]:
    tool("ngspice")
    found: dict[str, Waveform] = {}

    def run(name: str) -> Waveform:
        if name not in found:
            means = simulate_means("\n".join(CIRCUITS[name]()), Span(15, 1, 720, 5.0))
            found[name] = Waveform.sampled(means.reshape(360, 2).mean(axis=1))
        return found[name]

    return run


@pytest.mark.parametrize(("name", "residual_class", "rcd_type"), EXPECTED)
def test_a_circuit_that_set_no_threshold_is_classed_as_its_ties_to_the_supply_say(
    simulated: Callable[[str], Waveform], name: str, residual_class: ResidualClass, rcd_type: RcdType
) -> None:
    current = simulated(name)
    assert classify(current) is residual_class
    assert least_type(current) is rcd_type


@pytest.mark.parametrize("firing_angle_deg", [30.0, 60.0])
def test_the_simulated_controlled_bridge_has_the_mean_of_the_textbooks(
    simulated: Callable[[str], Waveform], firing_angle_deg: float
) -> None:
    """Source: power electronics textbooks, mean = (3 sqrt(3) / 2 pi) peak cos(alpha) for either pole."""
    current = simulated(f"controlled six-pulse, {firing_angle_deg:g} deg")
    textbook_ma = 3.0 * math.sqrt(3.0) / (2.0 * math.pi) * PEAK_MA * math.cos(math.radians(firing_angle_deg))
    assert current.mean_ma == pytest.approx(textbook_ma, rel=0.005)


def test_a_fault_behind_a_transformer_sends_no_residual_current(
    simulated: Callable[[str], Waveform],
) -> None:
    assert simulated("bridge behind a transformer").peak_ma < 0.1
    assert simulated("bridge without transformer").peak_ma == pytest.approx(PEAK_MA, rel=0.01)
