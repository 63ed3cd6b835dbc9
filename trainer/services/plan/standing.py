"""Where a learner stands, and how sure that is."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime

from trainer.services.plan.words import Sureness

# The normal deviate of 95 per cent.
_DEVIATE = 1.959963984540054
_FEW, _WIDE, _MIDDLE = 4, 0.45, 0.25


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """From where to where a share lies with 95 per cent confidence."""

    low: float
    high: float

    @property
    def width(self) -> float:
        """How wide it is."""
        return self.high - self.low


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """What was earned towards one objective, over decisions that were met for the first time."""

    objective_id: str
    decisions: int
    marks: int
    marks_available: int
    last_at: datetime

    @property
    def share(self) -> float:
        """The share of the marks that was earned."""
        return self.marks / self.marks_available if self.marks_available else 0.0

    @property
    def interval(self) -> Interval:
        """Where the true share lies, resting on the number of decisions and not of marks."""
        return wilson(self.share, self.decisions)

    @property
    def sureness(self) -> Sureness:
        """In a word, how far the estimate can be relied on."""
        if self.decisions == 0:
            return Sureness.NONE
        if self.decisions < _FEW or self.interval.width > _WIDE:
            return Sureness.LITTLE
        return Sureness.SOME if self.interval.width > _MIDDLE else Sureness.GOOD


def wilson(share: float, number: int) -> Interval:
    """The score interval of a share of ``number`` independent tries, 95 per cent.

    (p + z²/2n ± z √(p(1-p)/n + z²/4n²)) / (1 + z²/n). *Source*: E. B. Wilson, 1927; method 3 in
    R. G. Newcombe, Statistics in Medicine 17, 1998.
    """
    if number <= 0:
        return Interval(low=0.0, high=1.0)
    square = _DEVIATE**2 / number
    middle = share + square / 2
    half = _DEVIATE * math.sqrt(share * (1 - share) / number + square / (4 * number))
    low, high = (middle - half) / (1 + square), (middle + half) / (1 + square)
    return Interval(low=max(0.0, low), high=min(1.0, high))
