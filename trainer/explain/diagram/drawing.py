"""The drawing: boxes, lines, signs and texts with their places, in pixels. Nothing here is words."""

from __future__ import annotations

from dataclasses import dataclass, field

from trainer.explain.diagram.measure import ASCENT_PX, DESCENT_PX, width_px


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A rectangle by its left upper corner."""

    x: float
    y: float
    width: float
    height: float

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
    """One line of text: its start and its base line. ``style`` is name, fact, way or mark."""

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Wire:
    """A straight line, level or upright. ``style`` is live, protective or open."""

    x1: float
    y1: float
    x2: float
    y2: float
    style: str = "live"


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """Everything drawn for one node; ``kind`` and ``outcome`` choose the styling."""

    path: str
    kind: str
    title: str
    outcome: str = ""
    href: str = ""
    frame: Box | None = None
    texts: tuple[Text, ...] = ()
    signs: tuple[Sign, ...] = ()

    @property
    def bounds(self) -> Box:
        """The least rectangle round texts and signs: the area to press where the item is a link."""
        boxes = [*(text.box for text in self.texts), *(sign.box for sign in self.signs)]
        x, y = min(box.x for box in boxes), min(box.y for box in boxes)
        return Box(
            x=x,
            y=y,
            width=round(max(box.x + box.width for box in boxes) - x, 1),
            height=round(max(box.y + box.height for box in boxes) - y, 1),
        )


@dataclass(slots=True, kw_only=True)
class Sheet:
    """A drawing while it is being made."""

    items: list[Item] = field(default_factory=list)
    wires: list[Wire] = field(default_factory=list)
    dots: list[tuple[float, float]] = field(default_factory=list)

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
    dots: tuple[tuple[float, float], ...]

    def path_data(self, style: str) -> str:
        """All lines of one style as the data of one SVG path."""
        return "".join(_segment(wire) for wire in self.wires if wire.style == style)

    @property
    def dot_data(self) -> str:
        """All junctions as the data of one SVG path, each a line of no length with round ends."""
        return "".join(f"M{x:g} {y:g}h0" for x, y in self.dots)

    @property
    def has_links(self) -> bool:
        """True when parts of the drawing lead somewhere."""
        return any(item.href for item in self.items)

    @property
    def sign_names(self) -> tuple[str, ...]:
        """The signs that the drawing needs, each once."""
        return tuple(sorted({sign.name for item in self.items for sign in item.signs}))


def _segment(wire: Wire) -> str:
    if wire.y1 == wire.y2:
        return f"M{wire.x1:g} {wire.y1:g}H{wire.x2:g}"
    return f"M{wire.x1:g} {wire.y1:g}V{wire.y2:g}"
