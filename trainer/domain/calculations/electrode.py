"""Voltages and resistances of earth electrodes of TT systems and of charging points."""

from __future__ import annotations

from trainer.domain.calculations.facts import PER_MILLI


def touch_voltage_v(earth_electrode_resistance_ohm: float, rated_residual_operating_current_ma: float) -> float:
    """The voltage on exposed parts at the rated residual operating current: RA * I-delta-n.

    *Source*: BS 7671 411.5.3.
    """
    return earth_electrode_resistance_ohm * rated_residual_operating_current_ma / PER_MILLI


def highest_electrode_resistance_ohm(touch_voltage_limit_v: float, rated_residual_operating_current_ma: float) -> float:
    """The highest RA at which a residual current device protects: UL / I-delta-n.

    *Source*: BS 7671 Table 41.5: 1667 ohm at 30 mA, 500 at 100 mA, 167 at 300 mA.
    """
    return touch_voltage_limit_v * PER_MILLI / rated_residual_operating_current_ma
