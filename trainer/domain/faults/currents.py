"""The fault current behind a front end: computed once through a reference resistance, then scaled."""

from __future__ import annotations

from functools import lru_cache

from trainer.domain.physics.front_ends import FRONT_ENDS, FaultPoint, FrontEndParameters, waveform
from trainer.domain.physics.responses import ResidualCurrent, residual_current_of
from trainer.domain.vocabulary import FrontEnd

REFERENCE_OHM = 1000.0
"""Resistance through which every fault current is computed before it is scaled."""

REFERENCE_V = 230.0
"""Supply voltage at which every fault current is computed before it is scaled."""

_HELD_BY_CONTROL = frozenset({FrontEnd.BRIDGE_POWER_FACTOR_STAGE, FrontEnd.HALF_WAVE_CAPACITOR})


@lru_cache(maxsize=512)
def reference_current(
    front_end: FrontEnd, point: FaultPoint, separated: bool, rated_residual_operating_current_ma: float
) -> ResidualCurrent:
    """The residual current of a fault through 1 kilohm at 230 V, as devices of a rating class it."""
    if separated and FRONT_ENDS[front_end].may_be_separated:
        parameters = FrontEndParameters(galvanic_separation=True)
    else:
        parameters = FrontEndParameters()
    return residual_current_of(waveform(front_end, point, parameters), rated_residual_operating_current_ma)


def bolted_reference(
    front_end: FrontEnd, point: FaultPoint, separated: bool, rated_residual_operating_current_ma: float
) -> ResidualCurrent:
    """The shape of a fault of negligible impedance, as if through the reference resistance.

    A link voltage that a capacitor or a control holds against a leak collapses in a bolted fault:
    what remains is what the diodes pass, a half-wave.
    """
    if front_end in _HELD_BY_CONTROL and point is not FaultPoint.LINE:
        front_end, point = FrontEnd.HALF_WAVE, FaultPoint.DC_POSITIVE
    return reference_current(front_end, point, separated, rated_residual_operating_current_ma)


@lru_cache(maxsize=4096)
def through(current: ResidualCurrent, resistance_ohm: float, voltage_v: float = REFERENCE_V) -> ResidualCurrent:
    """A reference current through another resistance: i = v_x / R, and in proportion to the voltage."""
    return current.scaled(REFERENCE_OHM / resistance_ohm * (voltage_v / REFERENCE_V))
