"""How invented people answer: the more able, and the easier the task, the likelier right.

The logistic model of one parameter for each task and each person (Rasch), with a common slope. Real
classes differ in ability about as much as papers differ in difficulty, and so do these.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from random import Random

_SLOPE = 1.6
_MEAN, _SPREAD = 0.5, 1.1
_EASIEST, _HARDEST = -1.4, 1.0


def ability(random: Random) -> float:
    """The ability of one person, in logits."""
    return random.gauss(_MEAN, _SPREAD)


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
