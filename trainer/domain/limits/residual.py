"""Limits of residual current protection: see ``data/residual.toml`` for values and citations."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.domain.limits.loading import Limit
from trainer.domain.vocabulary import FrontEnd, RcdType

_BY_RANK = {each.rank: each for each in RcdType}


@dataclass(frozen=True, slots=True, kw_only=True)
class ResidualLimits:
    """Values that the rules on residual current devices compare with.

    ``smooth_dc_tolerance_ma`` is by type: the smooth d.c. on which the device still works.
    ``least_type_rank`` is by front end: the rank (AC 0, A 1, F 2, B 3) of the least type that
    detects every residual current of a fault behind it; ``separated`` and ``socket_outlets``
    stand for equipment behind separation and for loads that are plugged in.
    ``listed_standards`` names the product standards whose devices count as residual current devices.
    """

    additional_protection_ma: Limit
    smooth_dc_tolerance_ma: Mapping[str, Limit]
    type_b_smooth_dc_multiple: Limit
    detector_smooth_dc_ma: Limit
    least_type_rank: Mapping[str, Limit]
    listed_standards: Mapping[str, Limit]
    socket_outlet_rated_current_a: Limit
    concealed_depth_mm: Limit
    agricultural_ma: Mapping[str, Limit]
    pitch_device_share: Limit
    leakage_share: Limit
    selectivity_ratio: Limit
    protective_conductor_current_ma: Mapping[str, Limit]
    high_integrity_mm2: Mapping[str, Limit]
    stable_electrode_ohm: Limit

    def least_type(self, front_end: FrontEnd | str) -> RcdType:
        """The least type for a front end, or for ``separated`` or ``socket_outlets``."""
        return _BY_RANK[int(self.least_type_rank[front_end].value)]

    def is_listed(self, standard: str) -> bool:
        """True when the text names one of the listed product standards."""
        return any(number in standard for number in self.listed_standards)
