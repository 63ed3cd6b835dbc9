"""Builds the tree of nodes from an installation, without a word about what is still to be decided."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace

from trainer.domain.cables import Circuit
from trainer.domain.devices import Board, Device
from trainer.domain.equipment import Equipment
from trainer.domain.installation import SUPPLY, Installation
from trainer.explain.diagram.equipment_words import equipment_facts, has_own_electrode, kind_words
from trainer.explain.diagram.nodes import Mark, Node, NodeKind, Outline, Reading, Translate
from trainer.explain.diagram.origin import (
    earth_from_supply,
    earthing_node,
    fuse_node,
    supply_node,
    surge_nodes,
)
from trainer.explain.diagram.signs import device_signs, equipment_sign, type_mark
from trainer.explain.diagram.words import (
    Teller,
    board_facts,
    circuit_facts,
    device_facts,
    signed_facts,
)

UNPLACED = "unplaced"


def _same(text: str) -> str:
    return text


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """What to draw beside the installation itself.

    ``undecided`` are paths whose values must not show; ``marks``, ``links``, ``readings`` and
    ``tones`` go to the places of these paths.
    """

    undecided: Collection[str] = frozenset()
    marks: Mapping[str, Mark] = field(default_factory=dict)
    links: Mapping[str, str] = field(default_factory=dict)
    readings: Mapping[str, tuple[Reading, ...]] = field(default_factory=dict)
    tones: Mapping[str, str] = field(default_factory=dict)
    translate: Translate = _same


def outline(house: Installation, request: Request | None = None) -> Outline:
    """The installation as nodes, in the order of its records."""
    return _Builder(house, request or Request()).build()


class _Builder:
    """Walks the references of an installation from the supply to the equipment."""

    def __init__(self, house: Installation, request: Request) -> None:
        self.house = house
        self.request = request
        self.teller = Teller(translate=request.translate, undecided=frozenset(request.undecided))
        self.fed: defaultdict[str, list[Device | Circuit]] = defaultdict(list)
        self.boards: defaultdict[str, list[Board]] = defaultdict(list)
        self._sort()

    def _sort(self) -> None:
        """Each record under what feeds it; where that is open, under no place."""
        for board in self.house.boards.values():
            open_ = self.teller.is_open(f"boards.{board.id}.fed_by")
            self.boards[UNPLACED if open_ else board.fed_by].append(board)
        for kind, records in (("devices", self.house.devices), ("circuits", self.house.circuits)):
            for record in records.values():
                open_ = self.teller.is_open(f"{kind}.{record.id}.fed_by")
                self.fed[UNPLACED if open_ else record.fed_by].append(record)

    def build(self) -> Outline:
        """The whole outline."""
        house, teller = self.house, self.teller
        trees = (
            *surge_nodes(house, teller),
            *(self.board(board) for board in self.boards[SUPPLY]),
            *self.unplaced(),
        )
        return Outline(
            title=house.title,
            supply=self.dressed(supply_node(house, teller)),
            fuse=self.dressed(fuse_node(house, teller)),
            earthing=self.earthing(),
            earth_from_supply=earth_from_supply(house, teller),
            trees=tuple(self.dressed(tree) for tree in trees),
        )

    def earthing(self) -> Node:
        """The main earthing terminal with its electrodes."""
        node = self.dressed(earthing_node(self.house, self.teller))
        return replace(node, children=tuple(self.dressed(child) for child in node.children))

    def unplaced(self) -> tuple[Node, ...]:
        """What still has to be given a place, gathered under a question mark."""
        children = (
            *(self.branch(record) for record in self.fed[UNPLACED]),
            *(self.board(board) for board in self.boards[UNPLACED]),
        )
        name = self.teller.translate("Place in the board to be chosen")
        return (Node(path="", kind=NodeKind.UNPLACED, name=name, children=children),) if children else ()

    def board(self, board: Board) -> Node:
        """A board with all that it feeds."""
        return Node(
            path=f"boards.{board.id}",
            kind=NodeKind.BOARD,
            name=board.label or self.teller.translate("Board {id}").format(id=board.id),
            facts=board_facts(board, self.teller),
            children=tuple(self.branch(record) for record in self.fed[board.id]),
        )

    def branch(self, record: Device | Circuit) -> Node:
        """A device or a circuit with all that it feeds."""
        node = self.device(record) if isinstance(record, Device) else self.circuit(record)
        return self.dressed(node)

    def device(self, device: Device) -> Node:
        """A device with all that it feeds."""
        way_open = self.teller.is_open(f"devices.{device.id}.way")
        return Node(
            path=f"devices.{device.id}",
            kind=NodeKind.DEVICE,
            name=device.label,
            facts=device_facts(device, self.teller),
            signed=signed_facts(device, self.teller),
            way="?" if way_open else "" if device.way is None else str(device.way),
            symbols=device_signs(device, self.teller),
            type_mark=type_mark(device, self.teller),
            children=tuple(self.branch(record) for record in self.fed[device.id]),
        )

    def circuit(self, circuit: Circuit) -> Node:
        """A circuit with the board or the equipment at its end."""
        three_phase = self.house.supply.phases == 3
        ends = (
            *(self.dressed(self.board(board)) for board in self.boards[circuit.id]),
            *(self.dressed(self.equipment(item)) for item in self.house.equipment_on(circuit)),
        )
        line_open = self.teller.is_open(f"circuits.{circuit.id}.line")
        return Node(
            path=f"circuits.{circuit.id}",
            kind=NodeKind.CIRCUIT,
            name=circuit.label or circuit.id,
            facts=circuit_facts(circuit, self.teller, three_phase_house=three_phase),
            strokes=circuit.live_conductors if three_phase and not line_open else 0,
            children=ends or self.outlets(circuit),
        )

    def outlets(self, circuit: Circuit) -> tuple[Node, ...]:
        """The end of a circuit for which no equipment is recorded."""
        _ = self.teller.translate
        if circuit.socket_outlets:
            sign, name = "sockets", _("socket-outlets")
        elif circuit.luminaires:
            sign, name = "luminaires", _("luminaires")
        else:
            return ()
        return (Node(path="", kind=NodeKind.EQUIPMENT, name=name, symbols=(sign,)),)

    def equipment(self, item: Equipment) -> Node:
        """An item of equipment."""
        return Node(
            path=f"equipment.{item.id}",
            kind=NodeKind.EQUIPMENT,
            name=item.label or kind_words(self.teller.translate)[item.kind],
            facts=equipment_facts(item, self.teller),
            symbols=(equipment_sign(item),),
            earthed_here=has_own_electrode(item, self.teller),
        )

    def dressed(self, node: Node) -> Node:
        """The node with its mark, its link and what a fault does there, where there is any."""
        asked, path = self.request, node.path
        mark, href, tone = asked.marks.get(path), asked.links.get(path, ""), asked.tones.get(path, "")
        readings = asked.readings.get(path, ())
        if not path or not (mark or href or tone or readings):
            return node
        return replace(node, mark=mark, href=href, tone=tone, readings=readings)
