"""What an item asks of its protection: the generator's own reading, which the proof then checks.

Written apart from the rules on purpose: where the two disagree, the proof of the scenario fails
and one of them is wrong.
"""

from __future__ import annotations

from trainer.domain.cables import Circuit
from trainer.domain.equipment import Equipment
from trainer.domain.generator.known import known
from trainer.domain.supply import Supply
from trainer.domain.vocabulary import EarthingSystem, FrontEnd, Location, MakerWord, Premises, RcdType, Stated

_LEAST = {
    FrontEnd.RESISTIVE: RcdType.AC,
    FrontEnd.PHASE_ANGLE: RcdType.AC,
    FrontEnd.BURST: RcdType.AC,
    FrontEnd.HALF_WAVE: RcdType.A,
    FrontEnd.BRIDGE_RESISTIVE: RcdType.A,
    FrontEnd.BRIDGE_CAPACITOR: RcdType.A,
    FrontEnd.BRIDGE_CHOKE: RcdType.A,
    FrontEnd.BRIDGE_HALF_CONTROLLED: RcdType.A,
    FrontEnd.CONVERTER_SINGLE_PHASE: RcdType.F,
}
"""The least type behind a front end; behind all others the residual current may be smooth d.c."""

ARC_DETECTION_PREMISES = frozenset({Premises.HMO})
"""Premises of the archetypes in which socket-outlets must have arc fault detection."""

_SHALLOW_MM = 50.0


def least_type(item: Equipment, circuit: Circuit) -> RcdType:
    """The least type of residual current device for an item on its circuit."""
    if item.charger is not None:
        detects = item.charger.direct_current_detection is Stated.YES
        own = RcdType.A if detects else RcdType.B
        return max(own, _stated(item) or own, key=lambda each: each.rank)
    needed = _stated(item) or _by_nature(item)
    if circuit.socket_outlets:
        return max(needed, RcdType.A, key=lambda each: each.rank)
    return needed


def _stated(item: Equipment) -> RcdType | None:
    """The type that the maker requires; a recommendation decides nothing."""
    if item.maker_rcd_type is not None and item.maker_rcd_word is MakerWord.REQUIRED:
        return item.maker_rcd_type
    return None


def _by_nature(item: Equipment) -> RcdType:
    if item.plug_in or not item.fixed or item.galvanic_separation:
        return RcdType.A
    return _LEAST.get(known(item.front_end), RcdType.B)


def residual_device_needed(
    item: Equipment, circuit: Circuit, supply: Supply, premises: Premises | None, *, island: bool
) -> bool:
    """True when the circuit cannot do without a residual current device of its own or before it.

    On an island the inverter gives too little current for an overcurrent device to act in time.
    """
    if supply.earthing_system is EarthingSystem.TT or island:
        return True
    if premises is Premises.AGRICULTURAL or circuit.socket_outlets or circuit.in_bathroom_zone or _concealed(circuit):
        return True
    if circuit.luminaires and premises is Premises.DWELLING:
        return True
    if item.charger is not None:
        return item.built_in_rcd is None
    return _stated(item) is not None and not item.maker_rcd_not_needed


def _concealed(circuit: Circuit) -> bool:
    cable = circuit.cable
    if cable is None or cable.earthed_metal_covering or cable.mechanically_protected:
        return False
    return cable.concealed_depth_mm is not None and cable.concealed_depth_mm < _SHALLOW_MM


def opens_all_live(item: Equipment, supply: Supply, *, island: bool) -> bool:
    """True when the device must open the neutral with the lines."""
    if supply.earthing_system is EarthingSystem.TT or island:
        return True
    return item.charger is not None or item.source is not None or item.location is Location.CARAVAN_PITCH
