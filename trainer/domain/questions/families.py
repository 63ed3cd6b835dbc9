"""Every family of questions, listed by hand, by subject."""

from __future__ import annotations

from trainer.domain.questions import (
    chargers,
    division,
    electrodes,
    leakage,
    load_management,
    open_pen,
    overcurrent,
    residual_current,
    series,
    solar,
    sources,
    storage,
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
    *load_management.FAMILIES,
    *solar.FAMILIES,
    *sources.FAMILIES,
    *storage.FAMILIES,
    *overcurrent.FAMILIES,
)
