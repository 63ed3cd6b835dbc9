"""Every rule, listed by hand, in the order in which findings are reported."""

from __future__ import annotations

from trainer.domain.rules import cables, overcurrent, ratings
from trainer.domain.rules.registry import Rule

ALL_RULES: tuple[Rule, ...] = (
    *overcurrent.RULES,
    *cables.RULES,
    *ratings.RULES,
)
