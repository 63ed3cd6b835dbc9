"""Hints that cost a mark: which decisions may have one, and what it takes away."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Protocol

COST = 1
# A decision of one mark would be worth nothing after its hint, so it has none.
LEAST_MARKS = 2


class Part(Protocol):
    """A graded decision or ask."""

    @property
    def id(self) -> str:
        """Its id."""

    @property
    def marks(self) -> int:
        """What it earned."""


def earned(part: Part, hinted: Collection[str]) -> int:
    """The marks of a decision with the hint taken off, never below nothing."""
    return max(0, part.marks - COST) if part.id in hinted else part.marks


def cost(parts: Iterable[Part], hinted: Collection[str]) -> int:
    """What the hints of an answer cost in all: a decision that earned nothing has nothing to lose."""
    return sum(each.marks - earned(each, hinted) for each in parts)
