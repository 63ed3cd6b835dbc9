"""Limits of charging points: see ``data/charger.toml`` for values and citations."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.domain.limits.loading import Limit


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargerLimits:
    """Values that the rules on charging points compare with.

    ``base_load_per_line_a`` is what a line of a three-phase site carries when little is on.
    """

    direct_current_detection_ma: Limit
    open_pen_voltage_v: Limit
    highest_voltage_factor: Limit
    open_pen_disconnects_within_s: Limit
    electrode_ohm: Limit
    base_load_per_line_a: Limit
