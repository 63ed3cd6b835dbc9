"""Every rule, listed by hand, in the order in which findings are reported."""

from __future__ import annotations

from trainer.domain.rules import (
    additional_protection,
    cables,
    locations,
    overcurrent,
    ratings,
    rcd_type,
    series,
    withstand,
)
from trainer.domain.rules.registry import Rule

ALL_RULES: tuple[Rule, ...] = (
    *additional_protection.RULES,
    *locations.RULES,
    *rcd_type.RULES,
    *series.RULES,
    *overcurrent.RULES,
    *cables.RULES,
    *withstand.RULES,
    *ratings.RULES,
)
