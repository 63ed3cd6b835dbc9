"""Every rule, listed by hand, in the order in which findings are reported."""

from __future__ import annotations

from trainer.domain.rules import (
    additional_protection,
    bonding,
    cables,
    charger,
    charger_earthing,
    heat_pump,
    island,
    isolation,
    leakage,
    locations,
    network,
    overcurrent,
    pv,
    ratings,
    rcd_type,
    series,
    sources,
    storage,
    supply,
    tt,
    verification,
    withstand,
)
from trainer.domain.rules import (
    property as protection_of_property,
)
from trainer.domain.rules.registry import Rule

ALL_RULES: tuple[Rule, ...] = (
    *additional_protection.RULES,
    *locations.RULES,
    *rcd_type.RULES,
    *series.RULES,
    *leakage.RULES,
    *tt.RULES,
    *charger.RULES,
    *charger_earthing.RULES,
    *pv.RULES,
    *sources.RULES,
    *island.RULES,
    *storage.RULES,
    *overcurrent.RULES,
    *cables.RULES,
    *withstand.RULES,
    *ratings.RULES,
    *bonding.RULES,
    *supply.RULES,
    *network.RULES,
    *heat_pump.RULES,
    *protection_of_property.RULES,
    *isolation.RULES,
    *verification.RULES,
)
