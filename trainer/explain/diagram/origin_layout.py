"""The upper part of the drawing: supply, cut-out fuse and earthing."""

from __future__ import annotations

from dataclasses import dataclass

from trainer.explain.diagram.drawing import Item, Sheet, Sign, Text
from trainer.explain.diagram.measure import LINE_PX, flowed
from trainer.explain.diagram.nodes import Node, Outline

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """How far the upper part reaches, and where the line to the boards begins."""

    width: float
    height: float
    feeder_from: float


def place_origin(outline: Outline, sheet: Sheet) -> Origin:
    """Draws the upper part."""
    supply_right = _supply(outline.supply, sheet)
    fuse_right = _fuse(outline.fuse, sheet)
    earth_x = max(supply_right, fuse_right) + 40.0
    right = _earthing(outline, sheet, earth_x)
    sheet.wire(FEEDER_X, _CIRCLE_Y + _CIRCLE_RADIUS, FEEDER_X, _FUSE_Y - _FUSE_HALF)
    return Origin(width=right, height=_HEIGHT, feeder_from=_FUSE_Y + _FUSE_HALF)


def _texts(node: Node, x: float, y: float, limit: float = _LIMIT) -> tuple[Text, ...]:
    lines = [line for group in node.facts for line in flowed(group, limit)]
    texts = [Text(x=x, y=y, words=node.name, style="name")]
    texts += [Text(x=x, y=y + LINE_PX * (i + 1), words=line) for i, line in enumerate(lines)]
    if node.mark:
        last = texts[-1].y + LINE_PX + 2.0
        texts.append(Text(x=x + 18.0, y=last, words=node.mark.word, style="mark"))
    return tuple(texts)


def _put(sheet: Sheet, node: Node, texts: tuple[Text, ...], *signs: Sign) -> float:
    """Adds an item; gives its right edge."""
    if node.mark:
        base = texts[-1].y - 4.0
        mark = Sign(name=f"outcome-{node.mark.outcome}", x=texts[0].x, y=base, width=13.0, above=6.5, below=6.5)
        signs = (*signs, mark)
    sheet.items.append(
        Item(
            path=node.path,
            kind=node.kind.value,
            title=", ".join((node.name, *node.told)),
            outcome=node.mark.outcome.value if node.mark else "",
            href=node.href,
            texts=texts,
            signs=signs,
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


def _fuse(node: Node, sheet: Sheet) -> float:
    fuse = Sign(name="fuse-down", x=FEEDER_X - 6.0, y=_FUSE_Y, width=12.0, above=_FUSE_HALF, below=_FUSE_HALF)
    return _put(sheet, node, _texts(node, _TEXT_X, _FUSE_Y - 6.0), fuse)


def _earthing(outline: Outline, sheet: Sheet, x: float) -> float:
    node = outline.earthing
    bar = Sign(name="earth-bar", x=x, y=_BAR_Y, width=34.0, above=3.0, below=3.0)
    right = _put(sheet, node, _texts(node, x + 44.0, _TOP + 2.0), bar)
    if outline.earth_from_supply:
        sheet.wire(FEEDER_X, _CIRCLE_Y - _CIRCLE_RADIUS, FEEDER_X, _EARTH_LINE_Y, "protective")
        sheet.wire(FEEDER_X, _EARTH_LINE_Y, x + 8.0, _EARTH_LINE_Y, "protective")
        sheet.wire(x + 8.0, _EARTH_LINE_Y, x + 8.0, _BAR_Y - 3.0, "protective")
    at = x + 16.0
    for electrode in node.children:
        at = _electrode(electrode, sheet, at, x + 16.0) + 30.0
        right = max(right, at)
    return right


def _electrode(node: Node, sheet: Sheet, x: float, bar_x: float) -> float:
    name = node.symbols[0]
    if x == bar_x:
        sheet.wire(bar_x, _BAR_Y + 3.0, bar_x, _ELECTRODE_Y - 12.0, "protective")
    sheet.wire(bar_x, _ELECTRODE_Y - 12.0, x, _ELECTRODE_Y - 12.0, "protective")
    sheet.wire(x, _ELECTRODE_Y - 12.0, x, _ELECTRODE_Y, "protective")
    sign = Sign(name=f"{name}-down", x=x - 15.0, y=_ELECTRODE_Y, width=30.0, above=0.0, below=22.0)
    return _put(sheet, node, _texts(node, x + 22.0, _ELECTRODE_Y + 6.0), sign)
