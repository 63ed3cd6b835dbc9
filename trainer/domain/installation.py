"""The installation: one immutable value that the rules judge."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from trainer.domain.cables import Circuit
from trainer.domain.devices import WITH_OVERCURRENT, Board, Device
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


class Tree:
    """What is remembered of who feeds whom. It follows from the references between records and from nothing else.

    Each part is filled when it is first asked for.
    """

    __slots__ = ("above_circuits", "above_devices", "below", "boards", "equipment")

    def __init__(self) -> None:
        self.above_circuits: dict[str, tuple[Device, ...]] = {}
        self.above_devices: dict[str, tuple[Device, ...]] = {}
        self.below: Mapping[str, Sequence[Circuit]] | None = None
        self.boards: Mapping[str, Board] | None = None
        self.equipment: Mapping[str, tuple[Equipment, ...]] | None = None

    def copy(self) -> Tree:
        """The same, to be filled on apart from this one."""
        other = Tree()
        other.above_circuits.update(self.above_circuits)
        other.above_devices.update(self.above_devices)
        other.below, other.boards, other.equipment = self.below, self.boards, self.equipment
        return other


REFERENCES = frozenset({"fed_by", "circuit"})
"""The attributes of records that make the tree."""


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
    _tree: Tree = field(default_factory=Tree, init=False, repr=False, compare=False, hash=False)

    def __post_init__(self) -> None:
        """Close the mappings against change."""
        for name in ("boards", "devices", "circuits", "equipment"):
            object.__setattr__(self, name, MappingProxyType(dict(getattr(self, name))))

    def forget(self) -> None:
        """Drop what was remembered; needed only where a house changes in place or is watched while it is read."""
        self._memory.clear()
        object.__setattr__(self, "_tree", Tree())

    def device_above(self, node: Circuit | Device) -> Device | None:
        """The device that feeds a circuit or device, in this board or in the one before it."""
        device = self.devices.get(node.fed_by)
        if device is not None:
            return device
        feeder = self.circuits.get(self.boards[node.fed_by].fed_by)
        return None if feeder is None else self.device_above(feeder)

    def devices_above(self, node: Circuit | Device) -> tuple[Device, ...]:
        """All devices between a circuit or device and the supply, the nearest first."""
        tree = self._tree
        known = (tree.above_circuits if isinstance(node, Circuit) else tree.above_devices).get(node.id)
        if known is None:
            found: list[Device] = []
            above = self.device_above(node)
            while above is not None:
                found.append(above)
                above = self.device_above(above)
            # What was read on the way may have put another tree in the place of the one before.
            tree, known = self._tree, tuple(found)
            (tree.above_circuits if isinstance(node, Circuit) else tree.above_devices)[node.id] = known
        return known

    def circuits_below(self, device: Device) -> Sequence[Circuit]:
        """All circuits that a device feeds, directly or through other devices and boards."""
        below = self._tree.below
        if below is None:
            found: dict[str, list[Circuit]] = {}
            for circuit in self.circuits.values():
                for above in self.devices_above(circuit):
                    found.setdefault(above.id, []).append(circuit)
            below = self._tree.below = found
        return below.get(device.id, ())

    def equipment_on(self, circuit: Circuit) -> tuple[Equipment, ...]:
        """The equipment at the end of one circuit."""
        equipment = self._tree.equipment
        if equipment is None:
            found: dict[str, tuple[Equipment, ...]] = {}
            for item in self.equipment.values():
                found[item.circuit] = (*found.get(item.circuit, ()), item)
            equipment = self._tree.equipment = found
        return equipment.get(circuit.id, ())

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
        boards = self._tree.boards
        if boards is None:
            found: dict[str, Board] = {}
            for board in self.boards.values():
                found.setdefault(board.fed_by, board)
            boards = self._tree.boards = found
        return boards.get(circuit.id)

    def is_final(self, circuit: Circuit) -> bool:
        """True when the circuit ends at equipment or outlets, not at a board."""
        boards = self._tree.boards
        return self.fed_board(circuit) is None if boards is None else circuit.id not in boards

    def residual_devices_above(self, node: Circuit | Device) -> tuple[Device, ...]:
        """The residual current devices between a circuit or device and the supply."""
        return tuple(d for d in self.devices_above(node) if d.detects_residual_current)

    def overcurrent_device(self, circuit: Circuit) -> Device | None:
        """The nearest device above a circuit that breaks overcurrent."""
        for device in self.devices_above(circuit):
            if device.kind in WITH_OVERCURRENT:
                return device
        return None

    @property
    def has_island(self) -> bool:
        """True when a source can feed the installation while the network is away."""
        return any(item.source is not None and item.source.island for item in self.sources())
