"""Limits of the classes of residual current: see ``data/waveform_classification.toml``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.domain.limits.loading import Limit


@dataclass(frozen=True, slots=True, kw_only=True)
class WaveformClassificationLimits:
    """Thresholds between alternating, pulsating, smooth and composite residual current.

    ``superimposed_smooth_dc_ma`` is by type: the smooth d.c. on which it still detects the rest.
    """

    pulsating_zero_interval_deg: Limit
    pulsating_zero_current_ma: Limit
    shape_multiple: Limit
    superimposed_smooth_dc_ma: Mapping[str, Limit]
    smooth_ripple_share: Limit
    alternating_mean_share: Limit
    composite_share: Limit
    fundamental_deviation_share: Limit
    pulsating_crest_factor_minimum: Limit
