"""Limits of the devices themselves, from their product standards: see ``data/devices.toml``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.domain.limits.loading import Limit, Table


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DeviceLimits:
    """What product standards promise of residual current and overcurrent devices.

    Bands are multiples of the rated residual operating current by type, waveform and bound.
    Break times are by time behaviour, multiple and bound; ``forty_ms_current_ma`` replaces the
    highest multiple for ratings up to 30 mA. ``direct_current_detection`` is IEC 62955,
    ``inverter_monitoring`` IEC 62109-2. ``core`` holds the assumptions of the teaching model.
    Compared by identity, so that bands and times can be remembered by edition.
    """

    alternating_bands: Table
    pulsating_bands: Table
    composite_and_dc_bands: Table
    small_rating_ma: Limit
    break_times_alternating: Table
    break_times_pulsating: Table
    break_times_smooth_dc: Table
    forty_ms_current_ma: Mapping[str, Limit]
    selective_least_non_actuating_ms: Limit
    type_f_non_actuating_ms: Limit
    smooth_dc_share_type_b: Limit
    smooth_dc_floor_type_b_ma: Limit
    type_b_highest_frequency_hz: Limit
    direct_current_detection_times: Table
    direct_current_detection: Mapping[str, Limit]
    inverter_monitoring_sudden: Table
    inverter_monitoring: Mapping[str, Limit]
    instantaneous_multiples: Table
    overcurrent: Mapping[str, Limit]
    faults: Mapping[str, Limit]
    core: Mapping[str, Limit]
