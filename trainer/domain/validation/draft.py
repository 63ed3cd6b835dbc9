"""An installation on its way through the door: what could be read of it, before it is believed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from trainer.domain.cables import Circuit
from trainer.domain.devices import Board, Device
from trainer.domain.equipment import Equipment
from trainer.domain.installation import Installation, Network
from trainer.domain.supply import Earthing, Supply, SurgeProtection

COLLECTIONS = ("boards", "devices", "circuits", "equipment")


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """The parts of an installation that could be read.

    ``partial`` holds the paths of records of which a required fact could not be read and is
    None here: their ids and readable values still count, their consistency is not judged.
    """

    title: str
    supply: Supply | None
    boards: Mapping[str, Board]
    devices: Mapping[str, Device]
    circuits: Mapping[str, Circuit]
    equipment: Mapping[str, Equipment]
    earthing: Earthing = field(default_factory=Earthing)
    surge: SurgeProtection = field(default_factory=SurgeProtection)
    network: Network = field(default_factory=Network)
    notices: frozenset[str] = frozenset()
    stated_maximum_demand_a: float | None = None
    partial: frozenset[str] = frozenset()

    @classmethod
    def of(cls, house: Installation) -> Draft:
        """The draft of an installation that is whole."""
        return cls(
            title=house.title,
            supply=house.supply,
            boards=house.boards,
            devices=house.devices,
            circuits=house.circuits,
            equipment=house.equipment,
            earthing=house.earthing,
            surge=house.surge,
            network=house.network,
            notices=house.notices,
            stated_maximum_demand_a=house.stated_maximum_demand_a,
        )

    def records(self) -> Iterator[tuple[str, Any]]:
        """Every record with its path, supply and earthing included."""
        for name in ("supply", "earthing", "surge", "network"):
            if getattr(self, name) is not None:
                yield name, getattr(self, name)
        for name in COLLECTIONS:
            for key, record in getattr(self, name).items():
                yield f"{name}.{key}", record

    def whole(self, name: str) -> Iterator[tuple[str, Any]]:
        """The records of one collection that were read completely, with their paths."""
        for key, record in getattr(self, name).items():
            path = f"{name}.{key}"
            if path not in self.partial:
                yield path, record

    def feeder(self, board: Board) -> Device | None:
        """The device that feeds the circuit that feeds a board; None where any of them is not there."""
        circuit = self.circuits.get(board.fed_by)
        return None if circuit is None else self.devices.get(circuit.fed_by)

    def above(self, node: Circuit | Device) -> tuple[Device, ...]:
        """The devices between a circuit or device and the supply; a loop is followed once."""
        found: dict[str, Device] = {}
        device = self.next_above(node)
        while device is not None and device.id not in found:
            found[device.id] = device
            device = self.next_above(device)
        return tuple(found.values())

    def next_above(self, node: Circuit | Device) -> Device | None:
        """The device that feeds a circuit or device, in its board or in the one before it."""
        device = self.devices.get(node.fed_by)
        if device is not None:
            return device
        board = self.boards.get(node.fed_by)
        return None if board is None else self.feeder(board)
