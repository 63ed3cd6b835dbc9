"""All credible earth faults of an installation, walked: the entry points."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.domain.equipment import Equipment, NeutralEarthLink
from trainer.domain.faults.flowing import second_contact_walks
from trainer.domain.faults.open_pen import open_pen_walks
from trainer.domain.faults.path import Path, island_path, mains_path
from trainer.domain.faults.places import assumed_place, has_own_places, place_of, places_in
from trainer.domain.faults.walk import FaultWalk, Mode, Place
from trainer.domain.faults.walker import Walker
from trainer.domain.installation import Installation
from trainer.domain.limits import limits_for
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition


def fault_walks(house: Installation, edition: Edition = DEFAULT_EDITION) -> tuple[FaultWalk, ...]:
    """Every credible earth fault of an installation with its proposal put in.

    Each line of each circuit and each point of each front end, bolted and resistive, on the
    network and in each island; a person touching a live part of each final circuit; an open PEN
    conductor; a second person touching a live part while d.c. flows from a fault elsewhere.
    """
    walker = Walker(house, limits_for(edition))
    return (
        *_direct_walks(walker),
        *open_pen_walks(walker),
        *second_contact_walks(walker),
    )


def walks_through(house: Installation, device_id: str, edition: Edition = DEFAULT_EDITION) -> tuple[FaultWalk, ...]:
    """The walks that pass a device: those with a step of it."""
    return tuple(walk for walk in fault_walks(house, edition) if walk.step_of(device_id) is not None)


def walks_of_equipment(
    house: Installation, equipment_id: str, edition: Edition = DEFAULT_EDITION
) -> tuple[FaultWalk, ...]:
    """The walks of faults in an item of equipment, on the line of its circuit, or with d.c. flowing from it."""
    circuit = house.equipment[equipment_id].circuit
    return tuple(
        walk
        for walk in fault_walks(house, edition)
        if walk.place.equipment == equipment_id
        or equipment_id in walk.flowing_from
        or (walk.place.equipment is None and walk.place.circuit == circuit and not walk.flowing_from)
    )


def _direct_walks(walker: Walker) -> Iterator[FaultWalk]:
    house = walker.house
    islands = [item for item in house.sources() if item.source is not None and item.source.island]
    for circuit in house.circuits.values():
        place = assumed_place(house, circuit)
        if place is not None:
            yield walker.resistive(place, mains_path(house, circuit), Mode.MAINS)
    for place in _places(house):
        circuit = house.circuits[place.circuit]
        touched = place.equipment is None and house.is_final(circuit)
        yield from _walks_at(walker, place, mains_path(house, circuit), Mode.MAINS, touched=touched)
        for source in islands:
            path = island_path(house, circuit, source)
            if _has_return_path(source):
                yield from _walks_at(walker, place, path, Mode.ISLAND, touched=touched)
            else:
                yield walker.unlinked(place, path)


def _places(house: Installation) -> Iterator[Place]:
    for circuit in house.circuits.values():
        yield place_of(circuit)
    for item in house.equipment.values():
        if has_own_places(house, item):
            yield from places_in(item)


def _walks_at(walker: Walker, place: Place, path: Path, mode: Mode, *, touched: bool) -> Iterator[FaultWalk]:
    yield walker.bolted(place, path, mode)
    yield walker.resistive(place, path, mode)
    if touched:
        yield walker.contact(place, path, mode)


def _has_return_path(source: Equipment) -> bool:
    return source.source is not None and source.source.neutral_earth_link is not NeutralEarthLink.NONE
