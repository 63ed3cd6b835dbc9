"""What one node looks like when its line enters at (0, 0): its texts, its signs, and the room it needs."""

from __future__ import annotations

from functools import lru_cache

from trainer.explain.diagram.drawing import Cell, Sign, Text
from trainer.explain.diagram.measure import LINE_PX, flowed, width_px, wrapped
from trainer.explain.diagram.nodes import Looks, Node, NodeKind, Reading
from trainer.explain.diagram.signs import TYPE_MARK_HEIGHT, TYPE_MARK_WIDTHS, WIDTHS

WAY_PX = 22.0
LEAD_IN_PX = 6.0
EQUIPMENT_PX = 30.0
_ABOVE_PX = 15.0
_BELOW_PX = 21.0
_FOOT_PX = 6.0
_MARK_PX = 13.0
_MARK_GAP_PX = 5.0
_MARKED_LINE_PX = 18.0
_READING_LIMIT = 170.0
_NAME_LIMITS = {NodeKind.DEVICE: 170.0, NodeKind.CIRCUIT: 150.0, NodeKind.EQUIPMENT: 170.0, NodeKind.SURGE: 200.0}


def inline_cell(node: Looks) -> Cell:
    """A device or a circuit: signs on the line, the name above it, the facts below."""
    limit = _NAME_LIMITS[node.kind]
    indent = WAY_PX if node.way else 0.0
    names = wrapped(node.name, limit - indent, lines=2, bold=True)
    texts = [
        Text(x=indent, y=-_ABOVE_PX - LINE_PX * (len(names) - 1 - i), words=name, style="name")
        for i, name in enumerate(names)
    ]
    if node.way:
        texts.append(Text(x=3.0, y=texts[0].y if texts else -_ABOVE_PX, words=node.way, style="way"))
    signs, gap_to = _signs_on_line(node)
    bottom, marks = _facts_below(node, texts, limit + 30.0)
    signs += marks
    width = max(gap_to, *(text.x + text.box.width for text in texts), *(s.x + s.width for s in signs), 40.0)
    return Cell(
        width=width,
        above=_ABOVE_PX + LINE_PX * max(len(names) - 1, 0) + 12.0,
        below=bottom,
        texts=tuple(texts),
        signs=tuple(signs),
        gap_from=LEAD_IN_PX if node.kind is NodeKind.DEVICE else 0.0,
        gap_to=gap_to,
    )


def _signs_on_line(node: Looks) -> tuple[list[Sign], float]:
    """The signs one after another, and where the last one ends."""
    if node.kind is NodeKind.CIRCUIT:
        strokes = [Sign(name=f"strokes-{node.strokes}", x=4.0, y=0.0, width=24.0)] if node.strokes else []
        return strokes, 0.0
    signs: list[Sign] = []
    x = LEAD_IN_PX
    for name in node.symbols:
        signs.append(Sign(name=name, x=x, y=0.0, width=WIDTHS[name]))
        x += WIDTHS[name]
    return signs, x


def _facts_below(node: Looks, texts: list[Text], limit: float) -> tuple[float, list[Sign]]:
    """Adds the facts under the line; gives the room they need and the marks among them."""
    signs: list[Sign] = []
    y = _BELOW_PX
    for number, group in enumerate(node.facts):
        indent = 0.0
        if node.type_mark and number == 1:
            indent = TYPE_MARK_WIDTHS[node.type_mark] + 5.0
            y += 3.0
            signs.append(_type_mark(node.type_mark, y))
        for line in flowed(group, limit):
            texts.append(Text(x=indent, y=y, words=line))
            y += LINE_PX + (2.0 if indent else 0.0)
            indent = 0.0
    for reading in node.readings:
        y = put_reading(reading, 0.0, y, texts, signs)
    if node.mark:
        signs.append(_outcome_sign(node, 0.0, y))
        texts.append(Text(x=_MARK_PX + _MARK_GAP_PX, y=y, words=node.mark.word, style="mark"))
        y += _MARKED_LINE_PX
    return y - LINE_PX + _FOOT_PX, signs


def put_reading(reading: Reading, x: float, y: float, texts: list[Text], signs: list[Sign]) -> float:
    """Adds what a fault does here, from the base line ``y`` on; gives the next base line."""
    signs.append(Sign(name=reading.sign, x=x, y=y - 4.0, width=_MARK_PX, above=6.5, below=6.5))
    for line in wrapped(reading.words, _READING_LIMIT, lines=2, bold=True):
        texts.append(Text(x=x + _MARK_PX + _MARK_GAP_PX, y=y, words=line, style=f"reading {reading.tone}"))
        y += LINE_PX
    return y + _MARKED_LINE_PX - LINE_PX


def _type_mark(mark: str, base: float) -> Sign:
    name = "type-open" if mark == "?" else f"type-{mark.lower()}"
    width = TYPE_MARK_WIDTHS[mark]
    return Sign(name=name, x=0.0, y=base - 4.0, width=width, above=8.0, below=TYPE_MARK_HEIGHT - 8.0)


def _outcome_sign(node: Looks, x: float, base: float) -> Sign:
    if node.mark is None:
        raise ValueError(f"{node.name}: no mark to draw")
    return Sign(name=f"outcome-{node.mark.outcome}", x=x, y=base - 4.0, width=_MARK_PX, above=6.5, below=6.5)


def equipment_cell(node: Looks) -> Cell:
    """Equipment: a box with its sign at the end of the line, the words beside it."""
    limit = _NAME_LIMITS[node.kind]
    lines = [(name, "name") for name in wrapped(node.name, limit, lines=2, bold=True)]
    lines += [(line, "fact") for group in node.facts for line in flowed(group, limit)]
    left = EQUIPMENT_PX + 8.0
    tall = LINE_PX * len(lines) + _MARKED_LINE_PX * (bool(node.mark) + 2 * len(node.readings))
    y = 4.0 - tall / 2 + LINE_PX / 2
    texts: list[Text] = []
    signs = [_equipment_sign(name) for name in node.symbols]
    for words, style in lines:
        texts.append(Text(x=left, y=y, words=words, style=style))
        y += LINE_PX
    for reading in node.readings:
        y = put_reading(reading, left, y + _MARKED_LINE_PX - LINE_PX, texts, signs)
    if node.mark:
        y += _MARKED_LINE_PX - LINE_PX
        signs.append(_outcome_sign(node, left, y))
        texts.append(Text(x=left + _MARK_PX + _MARK_GAP_PX, y=y, words=node.mark.word, style="mark"))
    below = max(EQUIPMENT_PX / 2 + 4.0, tall / 2 + 4.0)
    if node.earthed_here:
        signs.append(Sign(name="electrode", x=0.0, y=EQUIPMENT_PX / 2, width=EQUIPMENT_PX, above=0.0, below=22.0))
        below = max(below, EQUIPMENT_PX / 2 + 26.0)
    return Cell(
        width=max(text.x + text.box.width for text in texts) if texts else EQUIPMENT_PX,
        above=max(EQUIPMENT_PX / 2 + 2.0, tall / 2 + 4.0),
        below=below,
        texts=tuple(texts),
        signs=tuple(signs),
    )


def _equipment_sign(name: str) -> Sign:
    half = EQUIPMENT_PX / 2
    return Sign(name=name, x=0.0, y=0.0, width=EQUIPMENT_PX, above=half, below=half)


def board_cell(node: Looks) -> Cell:
    """A board or what has no place yet: a heading inside the top of its frame."""
    texts = [Text(x=12.0, y=18.0, words=wrapped(node.name, 300.0, lines=1, bold=True)[0], style="name")]
    facts = flowed((fact for group in node.facts for fact in group), 300.0)
    x = texts[0].x + texts[0].box.width + 10.0
    for line in facts:
        texts.append(Text(x=x, y=18.0, words=line))
        x += width_px(line) + 10.0
    signs: list[Sign] = []
    height = 26.0
    if node.mark:
        signs.append(_outcome_sign(node, 12.0, 18.0 + _MARKED_LINE_PX))
        texts.append(
            Text(x=12.0 + _MARK_PX + _MARK_GAP_PX, y=18.0 + _MARKED_LINE_PX, words=node.mark.word, style="mark")
        )
        height += _MARKED_LINE_PX
    width = max(text.x + text.box.width for text in texts) + 12.0
    return Cell(width=width, above=height, below=0.0, texts=tuple(texts), signs=tuple(signs))


def cell_of(node: Node) -> Cell:
    """The looks of a node."""
    return _cell(node.looks)


@lru_cache(maxsize=4096)
def _cell(looks: Looks) -> Cell:
    if looks.kind in (NodeKind.DEVICE, NodeKind.CIRCUIT):
        return inline_cell(looks)
    if looks.kind in (NodeKind.BOARD, NodeKind.UNPLACED):
        return board_cell(looks)
    return equipment_cell(looks)
