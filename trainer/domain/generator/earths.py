"""How chargers are earthed, and what stands ready for island mode: facts of survey, then what is right."""

from __future__ import annotations

from dataclasses import replace

from trainer.domain.equipment import ChargerEarthing, Equipment, SensesOpenPen
from trainer.domain.generator.draft import Draft
from trainer.domain.generator.known import known
from trainer.domain.generator.randomness import Draws
from trainer.domain.vocabulary import EarthingSystem

_BY_SENSING = {
    SensesOpenPen.VOLTAGE: ChargerEarthing.DEVICE_SENSING_VOLTAGE,
    SensesOpenPen.PROTECTIVE_CONDUCTOR: ChargerEarthing.DEVICE_SENSING_PROTECTIVE_CONDUCTOR,
    SensesOpenPen.EQUIVALENT: ChargerEarthing.EQUIVALENT_DEVICE,
}


def settle_earths(draft: Draft, draws: Draws) -> None:
    """Earthing of every charger, and the electrode of an island."""
    for item in list(draft.equipment.values()):
        if item.charger is not None:
            draft.equipment[item.id] = _charger(item, draft, draws)
    if any(item.source is not None and item.source.island for item in draft.equipment.values()):
        ohm = float(draws.stepped(24, 120, 4))
        if draft.supply.earthing_system is not EarthingSystem.TT:
            draft.earthing = replace(draft.earthing, island_electrode_resistance_ohm=ohm)
        else:
            own = draft.earthing.electrode_resistance_ohm
            draft.earthing = replace(draft.earthing, island_electrode_resistance_ohm=own)


def _charger(item: Equipment, draft: Draft, draws: Draws) -> Equipment:
    """The survey of the place where the charger stands, and the earthing that suits supply and sheet."""
    charger = replace(known(item.charger), earthing=right_earthing(item, draft))
    ohm = float(draws.stepped(18, 90, 4))
    if draft.supply.earthing_system is not EarthingSystem.TN_C_S:
        return replace(item, charger=charger)
    surveyed = replace(
        charger,
        electrode_resistance_ohm=ohm,
        electrode_clear_of_bonded_metal=True,
        simultaneous_reach_of_earths=False,
        armour_isolated_at_one_end=True,
    )
    return replace(item, charger=surveyed)


def right_earthing(item: Equipment, draft: Draft) -> ChargerEarthing:
    """The installation's earth where it is no PME, else the charger's own detection, else an electrode."""
    charger = known(item.charger)
    if draft.supply.earthing_system is not EarthingSystem.TN_C_S:
        return ChargerEarthing.INSTALLATION_EARTH
    if charger.open_pen in _BY_SENSING:
        return _BY_SENSING[charger.open_pen]
    return ChargerEarthing.OWN_TT_ELECTRODE
