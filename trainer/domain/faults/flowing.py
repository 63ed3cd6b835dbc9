"""A second person: a live part touched on one circuit while a fault on another already sends d.c."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.domain.cables import Circuit
from trainer.domain.devices import Device
from trainer.domain.equipment import Equipment
from trainer.domain.faults.guards import built_in_rating, detects_direct_current
from trainer.domain.faults.path import mains_path
from trainer.domain.faults.places import has_own_places, is_behind, place_of, places_in
from trainer.domain.faults.walk import FaultWalk, Mode, Note
from trainer.domain.faults.walker import Walker
from trainer.domain.findings import total
from trainer.domain.physics.bands import ResidualRating, rating_of, smooth_dc_band
from trainer.domain.vocabulary import RcdType

_TINY_MA = 1e-3


def second_contact_walks(walker: Walker) -> Iterator[FaultWalk]:
    """For every pair of a d.c. fault and a circuit that shares a device with it: a person touches that circuit.

    Where several items of equipment may let d.c. pass without a device being required to act, one
    further walk for each circuit adds them all.
    """
    flows = [flow for item in walker.house.equipment.values() if (flow := _flow_of(walker, item))]
    for circuit in walker.house.circuits.values():
        if not walker.house.is_final(circuit):
            continue
        reaching = [flow for flow in flows if flow.reaches(circuit)]
        for flow in reaching:
            yield _contact(walker, circuit, (flow,))
        if len(reaching) > 1:
            yield _contact(walker, circuit, tuple(reaching))


class Flow:
    """The smooth d.c. of one fault, at each device above it, that no device below need act on."""

    __slots__ = ("_circuit", "_passing_ma", "_walker", "item")

    def __init__(self, walker: Walker, item: Equipment, available_ma: float) -> None:
        self.item = item
        self._walker = walker
        self._circuit = item.circuit
        self._passing_ma: dict[str, float] = {}
        passing = min(available_ma, _let_through_inside(walker, item))
        for device in walker.house.devices_above(walker.house.circuits[item.circuit]):
            if device.detects_residual_current:
                self._passing_ma[device.id] = passing
                passing = min(passing, _let_through(walker, device))

    def reaches(self, circuit: Circuit) -> bool:
        """True when the d.c. flows through a residual current device above another circuit."""
        if circuit.id == self._circuit:
            return False
        above = self._walker.house.residual_devices_above(circuit)
        return any(self.through_ma(device) > 0 for device in above)

    def through_ma(self, device: Device) -> float:
        """The d.c. at one device, 0 where the fault does not lie behind it."""
        return self._passing_ma.get(device.id, 0.0)


def _flow_of(walker: Walker, item: Equipment) -> Flow | None:
    """The flow of the point that sends the most d.c. of a shape for type B; None where no point does."""
    if not has_own_places(walker.house, item):
        return None
    most_ma = 0.0
    path = mains_path(walker.house, walker.house.circuits[item.circuit])
    for place in places_in(item):
        if is_behind(place):
            current = walker.leak_current(place, path)
            if current.least_type is RcdType.B:
                most_ma = max(most_ma, abs(current.mean_ma))
    return Flow(walker, item, most_ma) if most_ma > _TINY_MA else None


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
        flowing_from=tuple(flow.item.id for flow in flows),
        notes=(Note.DC_OF_SEVERAL if several else Note.DC_OF_ONE_FAULT,),
    )
