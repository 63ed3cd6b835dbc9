"""What figures are made of."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from trainer.services.papers.counting import CountedItem
from trainer.services.papers.records import Outcome, SittingLine


@dataclass(frozen=True, slots=True, kw_only=True)
class Basis:
    """What figures are made of: sittings that were handed in, their items and outcomes, and changes of marks."""

    lines: Sequence[SittingLine]
    items: Mapping[str, tuple[CountedItem, ...]]
    outcomes: Sequence[Outcome]
    groups: Mapping[str, Collection[str]]
