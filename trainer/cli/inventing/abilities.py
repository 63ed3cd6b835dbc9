"""How invented people answer: the more able, and the easier the task, the likelier right.

The logistic model of one parameter for each task and each person (Rasch), with a common slope. Real
classes differ in ability about as much as papers differ in difficulty, and so do these.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from random import Random
from statistics import NormalDist

_SLOPE = 2.0
_MEAN, _SPREAD = 0.5, 1.4
_EASIEST, _HARDEST = -1.4, 1.0


def abilities(count: int, random: Random) -> Sequence[float]:
    """The abilities of a class in logits: evenly spaced parts of a normal distribution, in no order.

    Drawn one by one, a small class could by chance be all alike, and its figures would say nothing.
    """
    spread = NormalDist(_MEAN, _SPREAD)
    able = [spread.inv_cdf((number + 0.5) / count) for number in range(count)]
    random.shuffle(able)
    return able


def difficulties(positions: Iterable[int], random: Random) -> Mapping[int, float]:
    """The difficulty of each task in logits, spread evenly and in no order."""
    listed = sorted(positions)
    step = (_HARDEST - _EASIEST) / max(1, len(listed) - 1)
    hard = [_EASIEST + step * number for number in range(len(listed))]
    random.shuffle(hard)
    return dict(zip(listed, hard, strict=True))


def chance(able: float, hard: float) -> float:
    """How likely somebody answers right: 1 / (1 + exp(-slope (ability - difficulty)))."""
    return 1.0 / (1.0 + math.exp(-_SLOPE * (able - hard)))
