"""Limits of overcurrent protection and of cables: see ``data/overcurrent.toml``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.domain.limits.loading import Limit, Table


@dataclass(frozen=True, slots=True, kw_only=True)
class OvercurrentLimits:
    """Values that the rules on overcurrent, disconnection, cables and ratings compare with.

    Tables of maximum impedance hold at ``table_voltage_v`` to earth. Ratings are by method, size
    and number of loaded conductors, voltage drops by size and loaded conductors, each under the
    number of its table in Appendix 4; ``conductor_temperature_c`` is by the same numbers.
    """

    minimum_voltage_factor: Limit
    table_voltage_v: Limit
    line_voltage_v: Limit
    disconnection_times: Table
    other_disconnection_time_s: Mapping[str, Limit]
    scope_with_socket_outlets_a: Limit
    scope_fixed_equipment_a: Limit
    maximum_impedance_breaker: Table
    maximum_impedance_breaker_d_5_s: Table
    maximum_impedance_bs_88_2: Table
    maximum_impedance_bs_88_3: Table
    maximum_impedance_bs_3036: Table
    rewirable_factor: Limit
    buried_factor: Limit
    ring_device_a: Limit
    ring_cable_a: Limit
    ring_conductor_mm2: Limit
    conditional_rating_ka: Limit
    conditional_supply_fuse_a: Limit
    selectivity_ratio: Limit
    tails_length_m: Limit
    tails_for_fuse: Table
    conductor_temperature_c: Mapping[str, Limit]
    ordinary_terminals_c: Limit
    rating_4d2: Table
    rating_4d4: Table
    rating_4d5: Table
    rating_4e4: Table
    drop_4d2: Table
    drop_4d4: Table
    drop_4d5: Table
    drop_4e4: Table
    voltage_drop_percent: Mapping[str, Limit]
    ambient_factor_70: Table
    ambient_factor_90: Table
    ground_factor: Table
    soil_factor: Table
    grouping_bunched: Table
    grouping_single_layer: Table
    grouping_buried: Table
    insulation_factor: Table
