"""Marks that count: what was graded, with the changes that people made since."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from trainer.services.papers.records import ItemMark, Moderation, Paper, SittingLine
from trainer.services.papers.words import ModerationKind

_PERCENT = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class CountedItem:
    """An item of a sitting with the marks that count, and the changes that made them so."""

    graded: ItemMark
    marks: int
    marks_available: int
    changes: tuple[Moderation, ...] = ()

    @property
    def is_voided(self) -> bool:
        """True when the item counts for nobody."""
        return self.marks_available == 0

    @property
    def share(self) -> float:
        """The share of its marks that was earned, 0 to 1."""
        return self.marks / self.marks_available if self.marks_available else 0.0


def counted(items: Iterable[ItemMark], moderations: Sequence[Moderation]) -> tuple[CountedItem, ...]:
    """Each item with the marks that count: the last change of its mark, nothing where it was voided."""
    valid = [each for each in moderations if each.withdrawn_at is None]
    return tuple(_counted(item, [each for each in valid if _is_about(each, item)]) for item in items)


def _is_about(change: Moderation, item: ItemMark) -> bool:
    return change.position == item.position and change.sitting_id in (None, item.sitting_id)


def _counted(item: ItemMark, changes: Sequence[Moderation]) -> CountedItem:
    marks, available = item.marks, item.marks_available
    for each in changes:
        if each.kind is ModerationKind.MARK_CHANGED and each.marks_after is not None:
            marks = min(max(each.marks_after, 0), item.marks_available)
    if any(each.kind is ModerationKind.ITEM_VOIDED for each in changes):
        marks, available = 0, 0
    return CountedItem(graded=item, marks=marks, marks_available=available, changes=tuple(changes))


def total(items: Iterable[CountedItem]) -> tuple[int, int]:
    """Marks earned and available."""
    listed = list(items)
    return sum(each.marks for each in listed), sum(each.marks_available for each in listed)


def by_sitting(items: Iterable[CountedItem]) -> Mapping[str, tuple[CountedItem, ...]]:
    """The items of each sitting in order."""
    found: dict[str, list[CountedItem]] = {}
    for each in items:
        found.setdefault(each.graded.sitting_id, []).append(each)
    return {sitting_id: tuple(listed) for sitting_id, listed in found.items()}


def percent(marks: int | None, available: int | None) -> int | None:
    """The share in whole percent, cut off, so that nobody passes by rounding."""
    return None if marks is None or not available else marks * _PERCENT // available


def passed(paper: Paper, line: SittingLine) -> bool | None:
    """Whether a sitting passes by the paper's own terms; None where the paper has none, or nothing is marked."""
    return passed_with(paper, line.marks, line.marks_available, is_safe=line.safe_to_energise)


def passed_with(paper: Paper, marks: int | None, available: int | None, *, is_safe: bool | None) -> bool | None:
    """The same, from the marks that count."""
    if marks is None or not available:
        return None
    if paper.critical_errors_fail and is_safe is False:
        return False
    if paper.pass_percent is None:
        return None
    return marks * _PERCENT >= paper.pass_percent * available
