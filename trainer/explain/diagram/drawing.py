"""The drawing: boxes, lines, signs and texts with their places, in pixels. Nothing here is words."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, NamedTuple

from markupsafe import Markup, escape

from trainer.explain.diagram.measure import ASCENT_PX, DESCENT_PX, width_px

LEAST_TARGET_PX = 24.0
"""WCAG 2.2, 2.5.8 Target Size (Minimum)."""


class Box(NamedTuple):
    """A rectangle by its left upper corner."""

    x: float
    y: float
    width: float
    height: float

    @property
    def ink(self) -> str:
        """The attributes of an SVG rectangle."""
        return f'x="{self.x:g}" y="{self.y:g}" width="{self.width:g}" height="{self.height:g}"'

    def meets(self, other: Box) -> bool:
        """True when the two share area; touching edges do not."""
        return (
            self.x < other.x + other.width
            and other.x < self.x + self.width
            and self.y < other.y + other.height
            and other.y < self.y + self.height
        )

    def holds(self, other: Box) -> bool:
        """True when the other lies wholly inside."""
        return (
            self.x <= other.x
            and self.y <= other.y
            and self.x + self.width >= other.x + other.width
            and self.y + self.height >= other.y + other.height
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """One line of text: its start and its base line. ``style`` is name, fact, way, mark or a reading and its tone."""

    x: float
    y: float
    words: str
    style: str = "fact"

    @property
    def box(self) -> Box:
        """The area that the text may take."""
        return Box(
            x=self.x,
            y=self.y - ASCENT_PX,
            width=width_px(self.words, bold=self.style != "fact"),
            height=ASCENT_PX + DESCENT_PX,
        )

    def moved(self, x: float, y: float) -> Text:
        """The same text elsewhere."""
        return Text(x=self.x + x, y=self.y + y, words=self.words, style=self.style)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sign:
    """A sign of ``diagrams/signs.svg`` with its left end on the line at (x, y).

    ``above`` and ``below`` say how far it reaches from the line.
    """

    name: str
    x: float
    y: float
    width: float
    above: float = 11.0
    below: float = 8.0

    @property
    def box(self) -> Box:
        """The area that the sign takes."""
        return Box(x=self.x, y=self.y - self.above, width=self.width, height=self.above + self.below)

    def moved(self, x: float, y: float) -> Sign:
        """The same sign elsewhere."""
        return Sign(
            name=self.name,
            x=self.x + x,
            y=self.y + y,
            width=self.width,
            above=self.above,
            below=self.below,
        )


class Wire(NamedTuple):
    """A straight line, level or upright. ``style`` is live, protective or open."""

    x1: float
    y1: float
    x2: float
    y2: float
    style: str = "live"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """The looks of one node, its line entering at (0, 0), and the room it needs above and below that line.

    The line is drawn from the node's left edge to ``gap_from`` and on from ``gap_to``.
    """

    width: float = 0.0
    above: float = 0.0
    below: float = 0.0
    texts: tuple[Text, ...] = ()
    signs: tuple[Sign, ...] = ()
    gap_from: float = 0.0
    gap_to: float = 0.0
    _remembered: dict[str, Any] = field(default_factory=dict, compare=False, repr=False)

    @property
    def bounds(self) -> Box:
        """The area to press: the least rectangle round texts and signs, 24 px at least each way."""
        known: Box | None = self._remembered.get("bounds")
        if known is None:
            boxes = [*(text.box for text in self.texts), *(sign.box for sign in self.signs)]
            x, y = min(box.x for box in boxes), min(box.y for box in boxes)
            width, height = max(box.x + box.width for box in boxes) - x, max(box.y + box.height for box in boxes) - y
            more_x, more_y = max(0.0, LEAST_TARGET_PX - width), max(0.0, LEAST_TARGET_PX - height)
            known = Box(
                x=round(x - more_x / 2, 1),
                y=round(y - more_y / 2, 1),
                width=round(width + more_x, 1),
                height=round(height + more_y, 1),
            )
            self._remembered["bounds"] = known
        return known

    def ink(self, prefix: str) -> Markup:
        """Signs and texts as SVG; ``prefix`` begins the ids of the signs."""
        known: Markup | None = self._remembered.get(prefix)
        if known is None:
            signs = "".join(f'<use href="#{prefix}-{each.name}" x="{each.x:g}" y="{each.y:g}"/>' for each in self.signs)
            texts = "".join(
                f'<text class="{each.style}" x="{each.x:g}" y="{each.y:g}">{escape(each.words)}</text>'
                for each in self.texts
            )
            known = self._remembered[prefix] = Markup(signs + texts)  # noqa: S704 - words are escaped above
        return known


class Item(NamedTuple):
    """Everything drawn for one node, at (x, y); ``kind``, ``outcome`` and ``tone`` choose the styling."""

    path: str
    kind: str
    title: str
    cell: Cell
    x: float = 0.0
    y: float = 0.0
    outcome: str = ""
    tone: str = ""
    href: str = ""
    frame: Box | None = None

    @property
    def texts(self) -> tuple[Text, ...]:
        """The texts where they stand on the sheet."""
        return tuple(text.moved(self.x, self.y) for text in self.cell.texts)

    @property
    def signs(self) -> tuple[Sign, ...]:
        """The signs where they stand on the sheet."""
        return tuple(sign.moved(self.x, self.y) for sign in self.cell.signs)

    def ink(self, prefix: str) -> str:
        """The item as SVG: its frame, and a group that is a link where it leads somewhere."""
        frame = self.frame and f'<rect class="frame {self.kind} {self.tone}" {self.frame.ink}/>'
        at = f' transform="translate({self.x:g} {self.y:g})"' if self.x or self.y else ""
        group = f'<g class="node {self.kind} {self.outcome} {self.tone}"{at}><title>{escape(self.title)}</title>'
        drawn = self.cell.ink(prefix)
        if not self.href:
            return f"{frame or ''}{group}{drawn}</g>"
        link = f'<a href="{escape(self.href)}" data-place="{escape(self.path)}">'
        area = f'<rect class="area" pointer-events="all" {self.cell.bounds.ink}/>'
        return f"{frame or ''}{link}{group}{area}{drawn}</g></a>"


Point = tuple[float, float]


@dataclass(slots=True, kw_only=True)
class Sheet:
    """A drawing while it is being made."""

    items: list[Item] = field(default_factory=list)
    wires: list[Wire] = field(default_factory=list)
    dots: list[Point] = field(default_factory=list)
    lit: list[tuple[Point, ...]] = field(default_factory=list)

    def wire(self, x1: float, y1: float, x2: float, y2: float, style: str = "live") -> None:
        """Draws a line unless it has no length."""
        if (x1, y1) != (x2, y2):
            self.wires.append(Wire(x1=x1, y1=y1, x2=x2, y2=y2, style=style))


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A finished drawing."""

    title: str
    description: str
    width: float
    height: float
    items: tuple[Item, ...]
    wires: tuple[Wire, ...]
    dots: tuple[Point, ...]
    lit: tuple[tuple[Point, ...], ...] = ()

    def path_data(self, style: str) -> str:
        """All lines of one style as the data of one SVG path."""
        return "".join(_segment(wire) for wire in self.wires if wire.style == style)

    @property
    def lit_data(self) -> str:
        """The way of the fault current as the data of one SVG path."""
        return "".join("M" + "L".join(f"{x:g} {y:g}" for x, y in line) for line in self.lit)

    @property
    def dot_data(self) -> str:
        """All junctions as the data of one SVG path, each a line of no length with round ends."""
        return "".join(f"M{x:g} {y:g}h0" for x, y in self.dots)

    def ink(self, prefix: str) -> Markup:
        """All items as SVG. Thirty circuits are some hundred items: put together here, not by a template."""
        return Markup("".join(item.ink(prefix) for item in self.items))  # noqa: S704 - each item escapes its words

    @property
    def has_links(self) -> bool:
        """True when parts of the drawing lead somewhere."""
        return any(item.href for item in self.items)

    @property
    def sign_names(self) -> tuple[str, ...]:
        """The signs that the drawing needs, each once."""
        return tuple(sorted({sign.name for item in self.items for sign in item.cell.signs}))


def _segment(wire: Wire) -> str:
    if wire.y1 == wire.y2:
        return f"M{wire.x1:g} {wire.y1:g}H{wire.x2:g}"
    return f"M{wire.x1:g} {wire.y1:g}V{wire.y2:g}"
