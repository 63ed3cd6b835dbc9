"""Tasks that are alike: allowed only where a family has so few that they must repeat."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping

from trainer.domain.tasks import TaskKind

_BYTES = 8
_ROOTS = 6.0
"""How far above its mean the count of one fingerprint may lie, in square roots of the mean."""
_SURE = 6.0
_UNEQUAL = 6.0
"""A family that draws the code first, then what earns it, asks some questions more often than others by design."""
_SHARE = 1 / 6
"""No question of a family with more than six may be more than one in six, however unequal its draws."""


def repeated(prints: Mapping[str, bytes | bytearray]) -> Iterator[str]:
    """The families in which tasks repeat beyond what their space allows, in words.

    A house never repeats. A question may, once a family has been asked more often than it has
    questions; then none may come far more often than the others.
    Formula: highest count <= min(6 m, max(m, tasks / 6)) + 6 sqrt(m) + 6 with m = tasks / different tasks
    """
    for family, packed in sorted(prints.items()):
        counts = Counter(bytes(packed[at : at + _BYTES]) for at in range(0, len(packed), _BYTES))
        most = max(counts.values(), default=1)
        if most == 1:
            continue
        if not family.startswith(TaskKind.QUESTION.value):
            again = counts.total() - len(counts)
            yield f"{family}: {again} of {counts.total()} tasks are like another"
            continue
        mean = counts.total() / len(counts)
        due = min(_UNEQUAL * mean, max(mean, _SHARE * counts.total()))
        if most > due + _ROOTS * math.sqrt(mean) + _SURE:
            yield f"{family}: one question came {most} times, on average each came {mean:.1f} times"
