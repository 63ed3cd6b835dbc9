"""Every family of questions, listed by hand, by subject."""

from __future__ import annotations

from trainer.domain.questions import leakage, overcurrent, residual_current
from trainer.domain.questions.defining import Family

ALL_FAMILIES: tuple[Family, ...] = (
    *residual_current.FAMILIES,
    *leakage.FAMILIES,
    *overcurrent.FAMILIES,
)
