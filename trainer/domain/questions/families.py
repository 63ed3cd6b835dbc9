"""Every family of questions, listed by hand, by subject."""

from __future__ import annotations

from trainer.domain.questions import (
    cables,
    chargers,
    division,
    electrodes,
    heat_pumps,
    leakage,
    load_management,
    loops,
    network,
    observations,
    open_pen,
    overcurrent,
    residual_current,
    series,
    solar,
    sources,
    storage,
    verification,
    waveforms,
)
from trainer.domain.questions import property as protection_of_property
from trainer.domain.questions.defining import Family

ALL_FAMILIES: tuple[Family, ...] = (
    *residual_current.FAMILIES,
    *waveforms.FAMILIES,
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
    *cables.FAMILIES,
    *loops.FAMILIES,
    *heat_pumps.FAMILIES,
    *protection_of_property.FAMILIES,
    *network.FAMILIES,
    *verification.FAMILIES,
    *observations.FAMILIES,
)
