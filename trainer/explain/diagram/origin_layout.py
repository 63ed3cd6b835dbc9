"""The upper part of the drawing: supply, cut-out fuse and earthing."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.explain.diagram.cells import put_reading
from trainer.explain.diagram.drawing import Cell, Item, Sheet, Sign, Text
from trainer.explain.diagram.measure import LINE_PX, flowed
from trainer.explain.diagram.nodes import LIT, Node, Outline

FEEDER_X = 26.0
_TEXT_X = 54.0
_TOP = 32.0
_CIRCLE_Y = 46.0
_CIRCLE_RADIUS = 15.0
_FUSE_Y = 110.0
_FUSE_HALF = 14.0
_EARTH_LINE_Y = 12.0
_BAR_Y = 40.0
_LIMIT = 230.0
_ELECTRODE_Y = 120.0
_HEIGHT = 158.0
_FOOT = 14.0
_ROOM = 34.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """How far the upper part reaches, and where the line to the boards begins."""

    width: float
    height: float
    feeder_from: float


def place_origin(outline: Outline, sheet: Sheet) -> Origin:
    """Draws the upper part."""
    supply_right = _supply(outline.supply, sheet)
    fuse_y = max(_FUSE_Y, _lowest(sheet) + _ROOM)
    fuse_right = _fuse(outline.fuse, sheet, fuse_y)
    earth_x = max(supply_right, fuse_right) + 40.0
    right = _earthing(outline, sheet, earth_x)
    circle_foot, fuse_foot = _CIRCLE_Y + _CIRCLE_RADIUS, fuse_y + _FUSE_HALF
    sheet.wire(FEEDER_X, circle_foot, FEEDER_X, fuse_y - _FUSE_HALF)
    if outline.fuse.tone == LIT:
        sheet.lit.append(((FEEDER_X, circle_foot), (FEEDER_X, fuse_foot)))
    lowest = max(_lowest(sheet), *(sign.box.y + sign.box.height for item in sheet.items for sign in item.cell.signs))
    return Origin(width=right, height=max(_HEIGHT, lowest + _FOOT), feeder_from=fuse_foot)


def _lowest(sheet: Sheet) -> float:
    """The lowest base line so far."""
    return max(text.y for item in sheet.items for text in item.cell.texts)


def _texts(node: Node, x: float, y: float, limit: float = _LIMIT) -> tuple[Text, ...]:
    lines = [line for group in node.facts for line in flowed(group, limit)]
    texts = [Text(x=x, y=y, words=node.name, style="name")]
    texts += [Text(x=x, y=y + LINE_PX * (i + 1), words=line) for i, line in enumerate(lines)]
    return tuple(texts)


def _put(sheet: Sheet, node: Node, told: tuple[Text, ...], *drawn: Sign) -> float:
    """Adds an item with what a fault does there and what was found; gives its right edge."""
    texts, signs = list(told), list(drawn)
    for reading in node.readings:
        put_reading(reading, told[0].x, texts[-1].y + LINE_PX + 2.0, texts, signs)
    if node.mark:
        texts.append(Text(x=told[0].x + 18.0, y=texts[-1].y + LINE_PX + 2.0, words=node.mark.word, style="mark"))
        base = texts[-1].y - 4.0
        signs.append(Sign(name=f"outcome-{node.mark.outcome}", x=told[0].x, y=base, width=13.0, above=6.5, below=6.5))
    sheet.items.append(
        Item(
            path=node.path,
            kind=node.kind.value,
            title=", ".join((node.name, *node.told)),
            outcome=node.mark.outcome.value if node.mark else "",
            tone=node.tone,
            href=node.href,
            cell=Cell(texts=tuple(texts), signs=tuple(signs)),
        )
    )
    return max(text.x + text.box.width for text in texts)


def _supply(node: Node, sheet: Sheet) -> float:
    circle = Sign(
        name="supply",
        x=FEEDER_X - _CIRCLE_RADIUS,
        y=_CIRCLE_Y,
        width=2 * _CIRCLE_RADIUS,
        above=_CIRCLE_RADIUS,
        below=_CIRCLE_RADIUS,
    )
    return _put(sheet, node, _texts(node, _TEXT_X, _TOP), circle)


def _fuse(node: Node, sheet: Sheet, y: float) -> float:
    fuse = Sign(name="fuse-down", x=FEEDER_X - 6.0, y=y, width=12.0, above=_FUSE_HALF, below=_FUSE_HALF)
    return _put(sheet, node, _texts(node, _TEXT_X, y - 6.0), fuse)


def _earthing(outline: Outline, sheet: Sheet, x: float) -> float:
    node = outline.earthing
    bar = Sign(name="earth-bar", x=x, y=_BAR_Y, width=34.0, above=3.0, below=3.0)
    right = _put(sheet, node, _texts(node, x + 44.0, _TOP + 2.0), bar)
    if outline.earth_from_supply:
        sheet.wire(FEEDER_X, _CIRCLE_Y - _CIRCLE_RADIUS, FEEDER_X, _EARTH_LINE_Y, "protective")
        sheet.wire(FEEDER_X, _EARTH_LINE_Y, x + 8.0, _EARTH_LINE_Y, "protective")
        sheet.wire(x + 8.0, _EARTH_LINE_Y, x + 8.0, _BAR_Y - 3.0, "protective")
        if node.tone == LIT:
            way = ((FEEDER_X, _CIRCLE_Y - _CIRCLE_RADIUS), (FEEDER_X, _EARTH_LINE_Y), (x + 8.0, _EARTH_LINE_Y))
            sheet.lit.append((*way, (x + 8.0, _BAR_Y - 3.0)))
    at, y = x + 16.0, max(_ELECTRODE_Y, sheet.items[-1].cell.texts[-1].y + _ROOM)
    for electrode in node.children:
        at = _electrode(electrode, sheet, at, x + 16.0, y) + 30.0
        right = max(right, at)
    return right


def _electrode(node: Node, sheet: Sheet, x: float, bar_x: float, y: float) -> float:
    name = node.symbols[0]
    if x == bar_x:
        sheet.wire(bar_x, _BAR_Y + 3.0, bar_x, y - 12.0, "protective")
    sheet.wire(bar_x, y - 12.0, x, y - 12.0, "protective")
    sheet.wire(x, y - 12.0, x, y, "protective")
    sign = Sign(name=f"{name}-down", x=x - 15.0, y=y, width=30.0, above=0.0, below=22.0)
    return _put(sheet, node, _texts(node, x + 22.0, y + 6.0), sign)
