"""Which devices the current of an earth fault passes, in each way of feeding the installation."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.domain.cables import Circuit
from trainer.domain.devices import Device
from trainer.domain.equipment import Equipment
from trainer.domain.installation import SUPPLY, Installation
from trainer.domain.vocabulary import DeviceKind

SUPPLY_FUSE = "supply.fuse"
"""Stands for the fuse of the network operator at the origin."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Path:
    """The devices between a fault and what feeds it, the nearest to the fault first.

    ``towards_source`` are those beyond the common board, on the branch of a source that forms an
    island: they open the source.
    """

    devices: tuple[Device, ...]
    towards_source: tuple[Device, ...] = ()
    source: str = SUPPLY

    @property
    def all_devices(self) -> tuple[Device, ...]:
        """Every device on the path."""
        return self.devices + self.towards_source


def mains_path(house: Installation, circuit: Circuit) -> Path:
    """The devices between a circuit and the network.

    Sources that run in parallel change nothing: what returns by earth goes to the earthed neutral
    of the network, so every device above the fault sees all of it.
    """
    return Path(devices=house.devices_above(circuit))


def island_path(house: Installation, circuit: Circuit, source: Equipment) -> Path:
    """The devices between a circuit and a source that feeds the island.

    Neutral and earth are linked at the source, so the current leaves the branch of the circuit at
    the board that both share and returns through the branch of the source. Devices above that
    board carry none of it.
    """
    to_fault = house.devices_above(circuit)
    to_source = house.devices_above(house.circuits[source.circuit])
    shared = {device.id for device in to_fault} & {device.id for device in to_source}
    return Path(
        devices=tuple(device for device in to_fault if device.id not in shared),
        towards_source=tuple(device for device in reversed(to_source) if device.id not in shared),
        source=source.id,
    )


def supply_fuse(house: Installation) -> Device | None:
    """The network operator's fuse as a device, or None where its rating is not known."""
    rated_current_a = house.supply.fuse_rated_current_a
    if rated_current_a is None:
        return None
    return Device(
        id=SUPPLY_FUSE,
        board=SUPPLY,
        fed_by=SUPPLY,
        kind=DeviceKind.FUSE,
        rated_current_a=rated_current_a,
        poles=1,
        standard=house.supply.fuse_standard,
    )


class CutOffs:
    """The circuits that lose their supply when a device opens, for one installation, each found once."""

    __slots__ = ("_house", "_known")

    def __init__(self, house: Installation) -> None:
        self._house = house
        self._known: dict[tuple[str, bool], frozenset[str]] = {}

    @property
    def circuits(self) -> tuple[str, ...]:
        """All circuits of the installation, in their order."""
        return tuple(self._house.circuits)

    def by(self, path: Path, device_id: str) -> frozenset[str]:
        """The circuits cut off by a device of a path; one on the branch of a source cuts off the source."""
        key = (device_id, any(each.id == device_id for each in path.towards_source))
        known = self._known.get(key)
        if known is None:
            known = self._known[key] = self._find(*key)
        return known

    def _find(self, device_id: str, opens_source: bool) -> frozenset[str]:
        everything = frozenset(self._house.circuits)
        if device_id == SUPPLY_FUSE:
            return everything
        device = self._house.devices.get(device_id)
        if device is None:
            return frozenset()
        below = frozenset(circuit.id for circuit in self._house.circuits_below(device))
        return everything - below if opens_source else below
