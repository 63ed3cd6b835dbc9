"""The tree behind the diagram: what is there, in words, before anything is placed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from enum import StrEnum
from typing import NamedTuple

from trainer.domain.vocabulary import Outcome

Translate = Callable[[str], str]

LIT, DARK = "lit", "dark"


class NodeKind(StrEnum):
    """What a node of the diagram stands for."""

    SUPPLY = "supply"
    FUSE = "fuse"
    EARTHING = "earthing"
    ELECTRODE = "electrode"
    SURGE = "surge"
    BOARD = "board"
    DEVICE = "device"
    CIRCUIT = "circuit"
    EQUIPMENT = "equipment"
    UNPLACED = "unplaced"


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """What the rules say of one place, in a word; the drawing adds a shape and a colour."""

    outcome: Outcome
    word: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What one place has to do with a simulated fault: a sign, a few words, and the tone in which both are drawn."""

    sign: str
    words: str
    tone: str


class Looks(NamedTuple):
    """All of a node that its drawing depends on: nodes that look the same are measured and drawn once."""

    kind: NodeKind
    name: str
    facts: tuple[tuple[str, ...], ...]
    way: str
    symbols: tuple[str, ...]
    type_mark: str
    strokes: int
    earthed_here: bool
    mark: Mark | None
    readings: tuple[Reading, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Node:
    """One thing in the diagram.

    ``path`` is the path that findings use. ``facts`` come in groups, one to a line of the drawing;
    ``signed`` are facts that the drawing tells by a sign alone. ``symbols`` and ``type_mark`` tell
    some of the facts again in signs. ``strokes`` counts the conductors drawn across the line of a
    circuit, 0 for none. ``tone`` says how a simulated fault leaves the place: LIT on the path of its
    current, DARK where the supply is cut off, or nothing.
    """

    path: str
    kind: NodeKind
    name: str
    facts: tuple[tuple[str, ...], ...] = ()
    signed: tuple[str, ...] = ()
    way: str = ""
    symbols: tuple[str, ...] = ()
    type_mark: str = ""
    strokes: int = 0
    earthed_here: bool = False
    mark: Mark | None = None
    readings: tuple[Reading, ...] = ()
    tone: str = ""
    href: str = ""
    children: tuple[Node, ...] = ()

    @property
    def looks(self) -> Looks:
        """What its drawing depends on."""
        return Looks(
            self.kind,
            self.name,
            self.facts,
            self.way,
            self.symbols,
            self.type_mark,
            self.strokes,
            self.earthed_here,
            self.mark,
            self.readings,
        )

    @property
    def told(self) -> tuple[str, ...]:
        """Every fact, whether the drawing writes it or signs it."""
        return (*(fact for group in self.facts for fact in group), *self.signed)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """The whole installation as nodes: the origin, its earthing, and the trees below it.

    ``earth_from_supply`` is false also while the means of earthing is still to be decided.
    """

    title: str
    supply: Node
    fuse: Node
    earthing: Node
    earth_from_supply: bool
    trees: tuple[Node, ...] = field(default=())
