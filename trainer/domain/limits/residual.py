"""Limits of residual current protection: see ``data/residual.toml`` for values and citations."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.domain.limits.loading import Limit


@dataclass(frozen=True, slots=True, kw_only=True)
class ResidualLimits:
    """Values that the rules on residual current devices compare with.

    ``smooth_dc_tolerance_ma`` is by type: the smooth d.c. on which the device still works.
    """

    additional_protection_ma: Limit
    smooth_dc_tolerance_ma: Mapping[str, Limit]
