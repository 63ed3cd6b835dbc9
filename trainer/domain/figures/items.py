"""Item figures: how many earned an item's marks, how well it tells strong from weak, what was chosen instead."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

PROVISIONAL_BELOW = 30
"""Under so many sittings a figure says little; common practice in assessment."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemFigures:
    """The figures of one item.

    ``facility`` is the mean share of its marks that was earned, 0 to 1. ``discrimination`` is the
    correlation of that share with the rest of the paper, -1 to 1; None where either is the same for
    everybody. ``sittings`` is the number that both rest on.
    """

    item: str
    sittings: int
    facility: float
    discrimination: float | None

    @property
    def is_provisional(self) -> bool:
        """True under thirty sittings."""
        return self.sittings < PROVISIONAL_BELOW


Shares = Mapping[str, float]
"""The share of its marks that one sitting earned at each item, 0 to 1, by item; voided items are left out."""


def item_figures(sittings: Sequence[Shares], marks: Mapping[str, float]) -> tuple[ItemFigures, ...]:
    """The figures of every item in the order of ``marks``, which holds the marks that each can earn.

    The rest of the paper is what a sitting earned at all other items, in marks. *Source*: corrected
    item-total correlation of classical test theory; for items of right or wrong it is the
    point-biserial coefficient.
    """
    return tuple(_of_item(item, sittings, marks) for item in marks)


def _of_item(item: str, sittings: Sequence[Shares], marks: Mapping[str, float]) -> ItemFigures:
    taken = [each for each in sittings if item in each]
    own = [each[item] for each in taken]
    rest = [math.fsum(marks[other] * share for other, share in each.items() if other != item) for each in taken]
    facility = math.fsum(own) / len(own) if own else 0.0
    return ItemFigures(item=item, sittings=len(own), facility=facility, discrimination=correlation(own, rest))


def correlation(first: Sequence[float], second: Sequence[float]) -> float | None:
    """Pearson's coefficient of two sequences of equal length; None where one of them does not vary."""
    count = len(first)
    if count < 2:
        return None
    means = math.fsum(first) / count, math.fsum(second) / count
    one = [value - means[0] for value in first]
    other = [value - means[1] for value in second]
    spread = math.fsum(a * a for a in one) * math.fsum(b * b for b in other)
    if spread <= _NOTHING:
        return None
    return max(-1.0, min(1.0, math.fsum(a * b for a, b in zip(one, other, strict=True)) / math.sqrt(spread)))


_NOTHING = 1e-18
"""Below this a product of spreads is rounding, not spread."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChoiceFigures:
    """One answer to an item: how many gave it, and the mean share of all marks that those earned."""

    chosen: str
    times: int
    mean_share: float
    is_right: bool


def choice_figures(answers: Iterable[tuple[str, bool, float]]) -> tuple[ChoiceFigures, ...]:
    """The answers to one item, the most frequent first.

    ``answers`` holds for each sitting what was chosen, whether it earned the marks, and the share of
    all marks that the sitting earned.
    """
    listed = list(answers)
    counted = Counter((chosen, right) for chosen, right, _ in listed)
    return tuple(
        ChoiceFigures(
            chosen=chosen,
            times=times,
            mean_share=math.fsum(share for c, r, share in listed if (c, r) == (chosen, right)) / times,
            is_right=right,
        )
        for (chosen, right), times in sorted(counted.items(), key=lambda each: (-each[1], each[0]))
    )
