"""Limits of sources and storage: see ``data/sources.toml`` for values and citations."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.domain.limits.loading import Limit


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceLimits:
    """Values that the rules on PV, generation, islands and storage compare with.

    ``string_fuse`` holds the factors on the short-circuit current of a module between which a
    string fuse lies, by publication.
    """

    voltage_factor_without_data: Limit
    standard_test_temperature_c: Limit
    highest_current_factor: Limit
    string_fuse: Mapping[str, Limit]
    extra_low_voltage_v: Limit
    voltage_rise_percent: Limit
    multiple_for_time: Limit
    battery_distance_m: Limit
