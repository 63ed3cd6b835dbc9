"""Where earth faults are credible: the lines of every circuit, and each point behind each front end."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.domain.cables import Circuit
from trainer.domain.equipment import ChargerEarthing, Equipment
from trainer.domain.faults.walk import Note, Place
from trainer.domain.installation import Installation
from trainer.domain.physics.front_ends import FRONT_ENDS, FaultPoint
from trainer.domain.vocabulary import FrontEnd, MakerWord

_SOURCES = frozenset(
    {
        FrontEnd.INVERTER_FULL_BRIDGE,
        FrontEnd.INVERTER_LINE_FREQUENCY_LEG,
        FrontEnd.INVERTER_HALF_BRIDGE,
        FrontEnd.INVERTER_THREE_PHASE,
    }
)
_LIVE = frozenset({FaultPoint.LINE, FaultPoint.CONTROLLED_LINE})


_ANY_LOAD = FrontEnd.BRIDGE_CAPACITOR
"""What any load may hold that nobody described: the rectifier of ordinary electronics."""


def place_of(circuit: Circuit) -> Place:
    """The line of a circuit against earth."""
    return Place(circuit=circuit.id, front_end=FrontEnd.RESISTIVE)


def assumed_place(house: Installation, circuit: Circuit) -> Place | None:
    """A pole of a rectifier in a load that nobody described, where such a load may be.

    None for a circuit whose only loads are fixed equipment, and for a distribution circuit.
    """
    items = house.equipment_on(circuit)
    undescribed = circuit.socket_outlets or not items or any(item.plug_in or not item.fixed for item in items)
    if not undescribed or not house.is_final(circuit):
        return None
    return Place(circuit=circuit.id, point=FaultPoint.DC_POSITIVE, front_end=_ANY_LOAD, assumed=True)


def places_in(item: Equipment) -> Iterator[Place]:
    """The points of one item of equipment: its line terminals, then what lies behind its front end."""
    front_end = item.front_end or assumed_front_end(item)
    for point in FRONT_ENDS[front_end].fault_points:
        yield Place(
            circuit=item.circuit,
            equipment=item.id,
            point=point,
            front_end=front_end,
            assumed=item.front_end is None,
        )


def assumed_front_end(item: Equipment) -> FrontEnd:
    """What is taken for a front end that is not known: the rectifier of a vehicle, else of ordinary electronics."""
    if item.charger is None:
        return _ANY_LOAD
    return FrontEnd.BRIDGE_POWER_FACTOR_STAGE if item.phases == 1 else FrontEnd.SIX_PULSE_CAPACITOR


def has_own_places(house: Installation, item: Equipment) -> bool:
    """True when a fault in the equipment can differ from one on the line of its circuit."""
    behind = item.front_end is None or len(FRONT_ENDS[item.front_end].fault_points) > 1
    guarded = item.built_in_rcd is not None or item.charger is not None
    return item.circuit in house.circuits and (behind or guarded)


def is_behind(place: Place) -> bool:
    """True for a point behind the semiconductors of equipment."""
    return place.point not in _LIVE


def is_of_source(place: Place) -> bool:
    """True for the d.c. side of an inverter that feeds the supply."""
    return is_behind(place) and place.front_end in _SOURCES


def is_separated(item: Equipment | None) -> bool:
    """True when a transformer keeps faults behind equipment from the earthed supply."""
    if item is None:
        return False
    charger = item.charger
    return charger is not None and charger.earthing is ChargerEarthing.ELECTRICAL_SEPARATION


def notes_of(item: Equipment | None, place: Place) -> list[Note]:
    """What must be said of the equipment beside the figures: the maker's word, what is not known."""
    if item is None:
        return [Note.ASSUMED_LOAD] if place.assumed else []
    notes: list[Note] = []
    if item.front_end is None:
        notes.append(Note.FRONT_END_UNKNOWN)
    if item.maker_rcd_not_needed:
        notes.append(Note.MAKER_STATES_NO_RCD)
    elif item.maker_rcd_type is not None and item.maker_rcd_word is MakerWord.REQUIRED:
        notes.append(Note.MAKER_STATES_TYPE)
    if (item.plug_in or not item.fixed) and is_behind(place):
        notes.append(Note.PLUG_IN_LOAD)
    return notes
