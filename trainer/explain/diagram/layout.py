"""Gives every node its place.

Each branch has rows of its own and each depth a column of its own, so nothing can lie upon anything else.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from trainer.explain.diagram.cells import EQUIPMENT_PX, cell_of
from trainer.explain.diagram.drawing import Box, Cell, Drawing, Item, Point, Sheet
from trainer.explain.diagram.nodes import LIT, Node, NodeKind, Outline
from trainer.explain.diagram.origin_layout import FEEDER_X, place_origin

_ROW_GAP = 6.0
_BUS_GAP = 16.0
_FRAME_INSET = 14.0
_FRAME_FOOT = 10.0
_AFTER_FRAME = 12.0
_TREES_X = 54.0
_MARGIN = 8.0
_FRAMED = (NodeKind.BOARD, NodeKind.UNPLACED)


class Block(NamedTuple):
    """A node with its branches, and the room that all of it needs above and below its line."""

    node: Node
    cell: Cell
    children: tuple[Block, ...]
    above: float
    below: float


def block_of(node: Node) -> Block:
    """Measures a node with all of its branches; the first branch lies on the node's own line."""
    cell = cell_of(node)
    children = tuple(block_of(child) for child in node.children)
    framed = node.kind in _FRAMED
    above = children[0].above if children else 0.0
    below = _rows_below(children)
    return Block(
        node=node,
        cell=cell,
        children=children,
        above=cell.above + above if framed else max(cell.above, above),
        below=max(cell.below, below) + (_FRAME_FOOT if framed else 0.0),
    )


def _rows_below(children: tuple[Block, ...]) -> float:
    if not children:
        return 0.0
    rest = (child.above + child.below + _ROW_GAP for child in children[1:])
    return math.fsum((children[0].below, *rest))


def _lines(children: tuple[Block, ...], y: float) -> Iterable[tuple[Block, float]]:
    """Each branch with the height of its line, from the parent's line down."""
    for number, child in enumerate(children):
        if number:
            y += _ROW_GAP + child.above
        yield child, y
        y += child.below


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """Where the columns of one board begin: devices by depth, then circuits, then their ends."""

    devices: tuple[float, ...]
    widths: tuple[float, ...]
    frame_right: float
    circuits: float
    ends: float


def _columns(board: Block, x: float) -> Columns:
    widths: list[float] = []
    circuit_width = 0.0
    level = list(board.children)
    while level:
        devices = [block for block in level if block.node.kind is NodeKind.DEVICE]
        circuits = [block.cell.width for block in level if block.node.kind is NodeKind.CIRCUIT]
        circuit_width = max([circuit_width, *circuits])
        if devices:
            widths.append(max(block.cell.width for block in devices))
        level = [child for block in devices for child in block.children]
    starts, at = [], x + _FRAME_INSET + _BUS_GAP / 2
    for width in widths:
        starts.append(at)
        at += width + _BUS_GAP
    right = max(at, x + board.cell.width)
    circuits_at = right + _AFTER_FRAME
    return Columns(
        devices=tuple(starts),
        widths=tuple(widths),
        frame_right=right,
        circuits=circuits_at,
        ends=circuits_at + circuit_width + _BUS_GAP,
    )


class _Placer:
    """Draws measured blocks on a sheet."""

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self.right = 0.0

    def board(self, block: Block, x: float, y: float) -> None:
        """A frame with the devices inside and what they feed outside on its right."""
        columns = _columns(block, x)
        frame = Box(x=x, y=y - block.above, width=columns.frame_right - x, height=block.above + block.below)
        self._item(block, x, frame.y, frame)
        bus = x + _FRAME_INSET
        style = "open" if block.node.kind is NodeKind.UNPLACED else "live"
        if block.node.kind is NodeKind.BOARD and block.children:
            self.sheet.wire(x, y, bus, y)
            self._light(block, (x, y), (bus, y))
        self._branches(block.children, bus, y, 0, columns, style=style)

    def _branches(
        self, children: tuple[Block, ...], bus: float, y: float, depth: int, columns: Columns, *, style: str = "live"
    ) -> None:
        """The bus with all that branches off it, at one depth of a board."""
        lines = list(_lines(children, y))
        self._bus(bus, y, [line for _, line in lines], style)
        for child, line in lines:
            if child.node.kind is NodeKind.DEVICE:
                start = columns.devices[depth]
                self.sheet.wire(bus, line, start, line, style)
                self._light(child, (bus, y), (bus, line), (start, line))
                self._device(child, start, line, depth, columns)
                continue
            self.sheet.wire(bus, line, columns.circuits, line, style)
            self._light(child, (bus, y), (bus, line), (columns.circuits, line))
            if child.node.kind is NodeKind.CIRCUIT:
                self._circuit(child, line, columns)
            else:
                self.board(child, columns.circuits, line)

    def _light(self, block: Block, *way: Point) -> None:
        """Marks a line as the way of a fault current where it leads to a place on that way."""
        if block.node.tone == LIT:
            self.sheet.lit.append(way)

    def _bus(self, x: float, y: float, lines: list[float], style: str = "live") -> None:
        if not lines:
            return
        self.sheet.wire(x, y, x, lines[-1], style)
        if len(lines) > 1 and style == "live":
            self.sheet.dots.extend((x, line) for line in lines[:-1])

    def _device(self, block: Block, x: float, y: float, depth: int, columns: Columns) -> None:
        self._item(block, x, y)
        self.sheet.wire(x, y, x + block.cell.gap_from, y)
        end = x + columns.widths[depth] + _BUS_GAP / 2
        self._light(block, (x, y), (end if block.children else x + block.cell.gap_to, y))
        if block.children:
            self.sheet.wire(x + block.cell.gap_to, y, end, y)
            self._branches(block.children, end, y, depth + 1, columns)
        else:
            self.sheet.wire(x + block.cell.gap_to, y, x + block.cell.gap_to + 8.0, y)

    def _circuit(self, block: Block, y: float, columns: Columns) -> None:
        x, ends = columns.circuits, columns.ends
        self._item(block, x, y)
        bus = ends - _BUS_GAP / 2
        self._light(block, (x, y), (bus, y))
        if not block.children:
            self.sheet.wire(x, y, ends, y)
            return
        self.sheet.wire(x, y, bus, y)
        lines = list(_lines(block.children, y))
        self._bus(bus, y, [line for _, line in lines])
        for child, line in lines:
            self.sheet.wire(bus, line, ends, line)
            self._light(child, (bus, y), (bus, line), (ends, line))
            if child.node.kind is NodeKind.BOARD:
                self.board(child, ends, line)
            else:
                self.end(child, ends, line)

    def end(self, block: Block, x: float, y: float) -> None:
        """Equipment, with its box."""
        half = EQUIPMENT_PX / 2
        box = Box(x=x, y=y - half, width=EQUIPMENT_PX, height=EQUIPMENT_PX) if block.node.symbols else None
        self._item(block, x, y, box)

    def _item(self, block: Block, x: float, y: float, frame: Box | None = None) -> None:
        node, cell = block.node, block.cell
        item = Item(
            path=node.path,
            kind=node.kind.value,
            title=", ".join((node.name, *node.told)) if node.name else ", ".join(node.told),
            cell=cell,
            x=x,
            y=y,
            outcome=node.mark.outcome.value if node.mark else "",
            tone=node.tone,
            href=node.href,
            frame=frame,
        )
        self.sheet.items.append(item)
        widest = max([x + cell.width, frame.x + frame.width if frame else 0.0])
        self.right = max(self.right, widest)


def drawing_of(outline: Outline, description: str = "") -> Drawing:
    """The drawing of an outline."""
    sheet = Sheet()
    placer = _Placer(sheet)
    origin = place_origin(outline, sheet)
    y, last = origin.height, origin.feeder_from
    for tree in outline.trees:
        block = block_of(tree)
        line = y + block.above
        _tree(placer, block, line, origin.feeder_from)
        if tree.kind is NodeKind.BOARD or tree.symbols:
            last = line
        y = line + block.below + 2 * _ROW_GAP
    sheet.wire(FEEDER_X, origin.feeder_from, FEEDER_X, last)
    return Drawing(
        title=outline.title,
        description=description,
        width=round(max(placer.right, origin.width) + _MARGIN),
        height=round(y + _MARGIN),
        items=tuple(sheet.items),
        wires=tuple(sheet.wires),
        dots=tuple(sheet.dots),
        lit=tuple(sheet.lit),
    )


def _tree(placer: _Placer, block: Block, line: float, feeder_from: float) -> None:
    if block.node.kind is NodeKind.BOARD or block.node.symbols:
        placer.sheet.wire(FEEDER_X, line, _TREES_X, line)
        if block.node.tone == LIT:
            placer.sheet.lit.append(((FEEDER_X, feeder_from), (FEEDER_X, line), (_TREES_X, line)))
        placer.sheet.dots.append((FEEDER_X, line))
    if block.node.kind in _FRAMED:
        placer.board(block, _TREES_X, line)
    else:
        placer.end(block, _TREES_X, line)
