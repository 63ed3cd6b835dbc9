"""Every family of questions, listed by hand, by subject."""

from __future__ import annotations

from trainer.domain.questions import (
    chargers,
    division,
    electrodes,
    leakage,
    open_pen,
    overcurrent,
    residual_current,
    series,
)
from trainer.domain.questions.defining import Family

ALL_FAMILIES: tuple[Family, ...] = (
    *residual_current.FAMILIES,
    *series.FAMILIES,
    *division.FAMILIES,
    *leakage.FAMILIES,
    *electrodes.FAMILIES,
    *chargers.FAMILIES,
    *open_pen.FAMILIES,
    *overcurrent.FAMILIES,
)
