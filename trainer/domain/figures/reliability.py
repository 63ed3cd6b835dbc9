"""How far a paper's marks would be the same with other items of its kind: Cronbach's alpha with its interval."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from trainer.domain.figures.items import PROVISIONAL_BELOW, Shares

_TWO_SIDED_95 = 1.959963984540054
"""The standard normal quantile of 0.975."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reliability:
    """Alpha of a paper with its 95 % interval, the standard error of a mark, and what they rest on."""

    alpha: float
    low: float
    high: float
    standard_error_marks: float
    sittings: int
    items: int

    @property
    def is_provisional(self) -> bool:
        """True under thirty sittings."""
        return self.sittings < PROVISIONAL_BELOW


def reliability(sittings: Sequence[Shares], marks: Mapping[str, float]) -> Reliability | None:
    """Alpha over the sittings that took every item; None with fewer than three of them, two items, or equal totals.

    alpha = k/(k-1) * (1 - sum of item variances / variance of totals). The interval is
    ln(1 - alpha) +- z * sqrt(2k / ((k-1)(n-2))). *Source*: Cronbach 1951; Bonett 2002,
    from memory; for items of right or wrong alpha is KR-20.
    """
    whole = [each for each in sittings if all(item in each for item in marks)]
    count, size = len(marks), len(whole)
    if size < _FEWEST_SITTINGS or count < _FEWEST_ITEMS:
        return None
    columns = [[marks[item] * each[item] for each in whole] for item in marks]
    totals = [math.fsum(row) for row in zip(*columns, strict=True)]
    spread = variance(totals)
    if spread <= 0:
        return None
    alpha = count / (count - 1) * (1 - math.fsum(variance(column) for column in columns) / spread)
    width = _TWO_SIDED_95 * math.sqrt(2 * count / ((count - 1) * (size - 2)))
    # Alpha is 1 where every sitting earned the same share of every item; its interval is then a point.
    apart = max(1 - alpha, 0.0)
    return Reliability(
        alpha=alpha,
        low=1 - apart * math.exp(width),
        high=1 - apart * math.exp(-width),
        standard_error_marks=math.sqrt(spread * apart),
        sittings=size,
        items=count,
    )


_FEWEST_SITTINGS, _FEWEST_ITEMS = 3, 2


def variance(values: Sequence[float]) -> float:
    """The sample variance, with n - 1 below the line."""
    mean = math.fsum(values) / len(values)
    return math.fsum((value - mean) ** 2 for value in values) / (len(values) - 1)
