"""A second person: a live part touched on one circuit while a fault on another already sends d.c."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

from trainer.domain.cables import Circuit
from trainer.domain.devices import Device
from trainer.domain.equipment import Equipment
from trainer.domain.faults.guards import built_in_rating, detects_direct_current
from trainer.domain.faults.path import mains_path
from trainer.domain.faults.places import assumed_place, has_own_places, is_behind, place_of, places_in
from trainer.domain.faults.walk import FaultWalk, Mode, Note, Place
from trainer.domain.faults.walker import Walker
from trainer.domain.findings import total
from trainer.domain.physics.bands import ResidualRating, pulsating_band, rating_of, smooth_dc_band
from trainer.domain.vocabulary import RcdType

_TINY_MA = 1e-3


def second_contact_walks(walker: Walker) -> Iterator[FaultWalk]:
    """For every pair of a d.c. fault and a circuit that shares a device with it: a person touches that circuit.

    Where several items of equipment may let d.c. pass without a device being required to act, one
    further walk for each circuit adds them all.
    """
    flows = tuple(_flows(walker))
    for circuit in walker.house.circuits.values():
        if not walker.house.is_final(circuit):
            continue
        reaching = tuple(flow for flow in flows if flow.reaches(circuit))
        for flow in reaching:
            yield _contact(walker, circuit, (flow,))
        if len(reaching) > 1:
            yield _contact(walker, circuit, reaching)


class Flow:
    """The d.c. of one fault, at each device above it, that no device below need act on.

    Smooth d.c. counts at every device, pulsating d.c. at type AC, which is promised to work with
    neither; types A, F and B detect pulsating d.c. itself.
    """

    __slots__ = ("_circuit", "_through_ma", "_walker", "name")

    def __init__(self, walker: Walker, name: str, circuit: Circuit, available: Available) -> None:
        self.name = name
        self._walker = walker
        self._circuit = circuit
        self._through_ma: dict[str, float] = {}
        smooth_ma, pulsating_ma = available
        for device in walker.house.devices_above(circuit):
            if device.detects_residual_current:
                counts = device.rcd_type is RcdType.AC
                self._through_ma[device.id] = max(smooth_ma, pulsating_ma if counts else 0.0)
                smooth_ma = min(smooth_ma, _let_through(walker, device))
                pulsating_ma = min(pulsating_ma, _pulsating_through(walker, rating_of(device)))

    def reaches(self, circuit: Circuit) -> bool:
        """True when the d.c. flows through a residual current device above another circuit."""
        if circuit.id == self._circuit.id:
            return False
        above = self._walker.house.residual_devices_above(circuit)
        return any(self.through_ma(device) > 0 for device in above)

    def through_ma(self, device: Device) -> float:
        """The d.c. at one device, 0 where the fault does not lie behind it."""
        return self._through_ma.get(device.id, 0.0)


class Available(NamedTuple):
    """The direct current that faults of equipment can send without anything in it acting."""

    smooth_ma: float
    pulsating_ma: float


def _flows(walker: Walker) -> Iterator[Flow]:
    house = walker.house
    for item in house.equipment.values():
        if has_own_places(house, item):
            available = _available(walker, house.circuits[item.circuit], tuple(places_in(item)))
            inside_ma = _let_through_inside(walker, item)
            pulsating_ma = min(available.pulsating_ma, _pulsating_through(walker, built_in_rating(item)))
            limited = Available(min(available.smooth_ma, inside_ma), pulsating_ma)
            if max(limited) > _TINY_MA:
                yield Flow(walker, item.id, house.circuits[item.circuit], limited)
    for circuit in house.circuits.values():
        place = assumed_place(house, circuit)
        if place is not None:
            yield Flow(walker, circuit.id, circuit, _available(walker, circuit, (place,)))


def _available(walker: Walker, circuit: Circuit, places: tuple[Place, ...]) -> Available:
    """The greatest mean values of leaks: of shapes for type B, and of half-waves and their like."""
    path = mains_path(walker.house, circuit)
    smooth_ma = pulsating_ma = 0.0
    for place in places:
        if is_behind(place):
            current = walker.leak_current(place, path)
            if current.least_type is RcdType.B:
                smooth_ma = max(smooth_ma, abs(current.mean_ma))
            else:
                pulsating_ma = max(pulsating_ma, abs(current.mean_ma))
    return Available(*(0.0 if each <= _TINY_MA else each for each in (smooth_ma, pulsating_ma)))


def _pulsating_through(walker: Walker, rating: ResidualRating | None) -> float:
    """Mean of a half-wave on which a device is just not required to act: 2/pi of its r.m.s. value."""
    if rating is None or rating.rcd_type is RcdType.AC:
        return float("inf")
    return pulsating_band(rating, 0.0, walker.limits.devices).operating_ma * 2.0 / math.pi


def _let_through_inside(walker: Walker, item: Equipment) -> float:
    """Smooth d.c. on which nothing inside the equipment is required to act."""
    ceilings = [float("inf")]
    rating = built_in_rating(item)
    if rating is not None:
        ceilings.append(_ceiling_of(walker, rating))
    if item.charger is not None and detects_direct_current(item.charger):
        stated_ma = item.charger.direct_current_detection_ma
        ceilings.append(_detector_ma(walker) if stated_ma is None else stated_ma)
    return min(ceilings)


def _let_through(walker: Walker, device: Device) -> float:
    """Smooth d.c. on which a device of a board is not required to act."""
    rating = rating_of(device)
    ceiling_ma = float("inf") if rating is None else _ceiling_of(walker, rating)
    return min(ceiling_ma, device.direct_current_detection_ma or float("inf"))


def _ceiling_of(walker: Walker, rating: ResidualRating) -> float:
    if rating.rcd_type is not RcdType.B:
        return float("inf")
    return smooth_dc_band(rating, walker.limits.devices).operating_ma


def _detector_ma(walker: Walker) -> float:
    return walker.limits.devices.direct_current_detection["operating"].value


def _contact(walker: Walker, circuit: Circuit, flows: tuple[Flow, ...]) -> FaultWalk:
    several = len(flows) > 1
    return walker.contact(
        place_of(circuit),
        mains_path(walker.house, circuit),
        Mode.MAINS,
        extra_dc=lambda device: total(flow.through_ma(device) for flow in flows),
        flowing_from=tuple(flow.name for flow in flows),
        notes=(Note.DC_OF_SEVERAL if several else Note.DC_OF_ONE_FAULT,),
    )
