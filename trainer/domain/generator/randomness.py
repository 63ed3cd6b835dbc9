"""Draws that give the same values for the same seed on every machine and Python version."""

from __future__ import annotations

import hashlib
import random
from collections.abc import Sequence
from typing import TypeVar

T = TypeVar("T")


class Draws:
    """A stream of draws for one section of one scenario.

    The stream starts from sha256 of seed, section and generator version, so that a change in
    how one section draws leaves the other sections as they were. Only ``random.Random.random``
    is used: its sequence is fixed by the language, that of its other methods is not.
    """

    __slots__ = ("_next",)

    def __init__(self, seed: int, section: str, version: str) -> None:
        digest = hashlib.sha256(f"{seed}|{section}|{version}".encode()).digest()
        self._next = random.Random(int.from_bytes(digest[:8], "big")).random

    def fraction(self) -> float:
        """A number of the half-open interval from 0 to 1."""
        return self._next()

    def chance(self, probability: float) -> bool:
        """True with the given probability."""
        return self._next() < probability

    def integer(self, low: int, high: int) -> int:
        """A whole number from ``low`` to ``high``, both included."""
        return low + min(int(self._next() * (high - low + 1)), high - low)

    def choice(self, options: Sequence[T]) -> T:
        """One of the options, each equally likely."""
        return options[self.integer(0, len(options) - 1)]

    def weighted(self, options: Sequence[T], weights: Sequence[float]) -> T:
        """One of the options, likely in proportion to its weight."""
        total = 0.0
        bounds = []
        for weight in weights:
            total += weight
            bounds.append(total)
        point = self._next() * total
        for option, bound in zip(options, bounds, strict=True):
            if point < bound:
                return option
        return options[-1]

    def shuffled(self, options: Sequence[T]) -> list[T]:
        """All options in a drawn order."""
        result = list(options)
        for last in range(len(result) - 1, 0, -1):
            other = self.integer(0, last)
            result[last], result[other] = result[other], result[last]
        return result

    def stepped(self, low: float, high: float, step: float) -> float:
        """A value from ``low`` to ``high`` in whole steps, rounded so that it prints as written."""
        steps = round((high - low) / step)
        return round(low + self.integer(0, steps) * step, 6)
