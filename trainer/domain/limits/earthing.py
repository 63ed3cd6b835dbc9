"""Limits of earthing, bonding and protective conductors: see ``data/earthing.toml``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.domain.limits.loading import Limit, Table


@dataclass(frozen=True, slots=True, kw_only=True)
class EarthingLimits:
    """Values that the rules on loops, protective conductors and bonding compare with.

    Resistances are at ``resistance_temperature_c``; the armour of a loaded cable is cooler than its
    conductors by ``armour_cooler_k``. ``k_factor`` is by use of the conductor and temperature.
    """

    touch_voltage_v: Limit
    conductor_resistance: Table
    armour_resistance: Table
    armour_resistance_large: Table
    resistance_temperature_c: Limit
    copper_temperature_coefficient_per_k: Limit
    steel_temperature_coefficient_per_k: Limit
    armour_cooler_k: Limit
    steel_resistivity_milliohm_mm2_per_m: Limit
    k_factor: Mapping[str, Limit]
    protective_conductor_table_mm2: Mapping[str, Limit]
    protective_conductor_share: Limit
    protective_conductor_by_breaker: Table
    by_breaker_fault_current_ka: Limit
    bonding_pme: Table
    bonding_mm2: Mapping[str, Limit]
    bonding_share: Limit
