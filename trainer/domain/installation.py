"""The installation: one immutable value that the rules judge."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from trainer.domain.cables import Circuit
from trainer.domain.devices import Board, Device
from trainer.domain.equipment import Equipment
from trainer.domain.supply import Earthing, Supply, SurgeProtection
from trainer.domain.vocabulary import Premises

SUPPLY = "supply"


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """Dealings with the network operator: the route taken for load and for generation."""

    load_route: str | None = None
    generation_route: str | None = None
    export_limited: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Installation:
    """Supply, earthing, boards, devices, circuits and equipment, each by its id.

    Mappings keep the order of the file. The tree is held by references: a circuit is fed by a
    device, a device by a device or by its board, a board by a distribution circuit or by the
    supply. Validity is established once, at the door (``trainer.domain.validation``).
    """

    title: str
    premises: Premises | None
    supply: Supply
    earthing: Earthing
    boards: Mapping[str, Board]
    devices: Mapping[str, Device]
    circuits: Mapping[str, Circuit]
    equipment: Mapping[str, Equipment]
    surge: SurgeProtection = field(default_factory=SurgeProtection)
    network: Network = field(default_factory=Network)
    notices: frozenset[str] = frozenset()
    stated_maximum_demand_a: float | None = None
    _memory: dict[Any, Any] = field(default_factory=dict, init=False, repr=False, compare=False, hash=False)

    def __post_init__(self) -> None:
        """Close the mappings against change."""
        for name in ("boards", "devices", "circuits", "equipment"):
            object.__setattr__(self, name, MappingProxyType(dict(getattr(self, name))))

    def forget(self) -> None:
        """Drop what was remembered of the tree; needed only where an open house changes in place."""
        self._memory.clear()

    def device_above(self, node: Circuit | Device) -> Device | None:
        """The device that feeds a circuit or device, in this board or in the one before it."""
        device = self.devices.get(node.fed_by)
        if device is not None:
            return device
        feeder = self.circuits.get(self.boards[node.fed_by].fed_by)
        return None if feeder is None else self.device_above(feeder)

    def devices_above(self, node: Circuit | Device) -> tuple[Device, ...]:
        """All devices between a circuit or device and the supply, the nearest first."""
        key = ("above", node.id, isinstance(node, Circuit))
        known = self._memory.get(key)
        if known is None:
            found: list[Device] = []
            above = self.device_above(node)
            while above is not None:
                found.append(above)
                above = self.device_above(above)
            known = self._memory[key] = tuple(found)
        return known

    def circuits_below(self, device: Device) -> tuple[Circuit, ...]:
        """All circuits that a device feeds, directly or through other devices and boards."""
        key = ("circuits below", device.id)
        known = self._memory.get(key)
        if known is None:
            found: list[Circuit] = []
            for circuit in self.circuits.values():
                for above in self.devices_above(circuit):
                    if above.id == device.id:
                        found.append(circuit)
                        break
            known = self._memory[key] = tuple(found)
        return known

    def equipment_on(self, circuit: Circuit) -> tuple[Equipment, ...]:
        """The equipment at the end of one circuit."""
        key = ("equipment on", circuit.id)
        known = self._memory.get(key)
        if known is None:
            known = self._memory[key] = tuple(item for item in self.equipment.values() if item.circuit == circuit.id)
        return known

    def equipment_below(self, device: Device) -> Iterator[Equipment]:
        """The equipment on all circuits that a device feeds."""
        for circuit in self.circuits_below(device):
            yield from self.equipment_on(circuit)

    def sources(self) -> tuple[Equipment, ...]:
        """The equipment that can feed the installation."""
        return tuple(item for item in self.equipment.values() if item.source is not None)

    def sources_below(self, device: Device) -> tuple[Equipment, ...]:
        """The sources on the load side of a device."""
        return tuple(item for item in self.equipment_below(device) if item.source is not None)

    def fed_board(self, circuit: Circuit) -> Board | None:
        """The board at the end of a distribution circuit; None for a final circuit."""
        for board in self.boards.values():
            if board.fed_by == circuit.id:
                return board
        return None

    def is_final(self, circuit: Circuit) -> bool:
        """True when the circuit ends at equipment or outlets, not at a board."""
        return self.fed_board(circuit) is None

    def residual_devices_above(self, node: Circuit | Device) -> tuple[Device, ...]:
        """The residual current devices between a circuit or device and the supply."""
        return tuple(d for d in self.devices_above(node) if d.detects_residual_current)

    def overcurrent_device(self, circuit: Circuit) -> Device | None:
        """The nearest device above a circuit that breaks overcurrent."""
        for device in self.devices_above(circuit):
            if device.breaks_overcurrent:
                return device
        return None

    @property
    def has_island(self) -> bool:
        """True when a source can feed the installation while the network is away."""
        return any(item.source is not None and item.source.island for item in self.sources())
