"""Limits of verification by test: see ``data/verification.toml``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.domain.limits.loading import Limit


@dataclass(frozen=True, slots=True, kw_only=True)
class VerificationLimits:
    """Values that test readings are compared with.

    ``break_time_ms`` is for an a.c. test at the rated residual operating current.
    """

    break_time_ms: Mapping[str, Limit]
    insulation_mohm: Limit
    measured_impedance_share: Limit
