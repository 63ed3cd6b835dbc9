"""How near the intended proposal of a task comes to a limit that is not met by rated values alone."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from trainer.domain.answers.decisions import apply
from trainer.domain.findings import Verdict
from trainer.domain.generator.judging import rules_of, verdicts
from trainer.domain.generator.margin import is_exempt
from trainer.domain.limits import limits_for
from trainer.domain.rules.registry import Rule
from trainer.domain.tasks import Task

_PLACES: Final = 4


def margin_of(task: Task, said: Iterable[tuple[Rule, Verdict]] | None = None) -> float | None:
    """The smallest |value - limit| / |limit| of all findings on the intended proposal.

    Pairs of rated values are left out, as the generator leaves them out of its band; None where
    nothing is computed or measured. ``said`` is what the rules said of it, where that is known.
    """
    return min(_distances(_said(task) if said is None else said), default=None)


def _said(task: Task) -> Iterator[tuple[Rule, Verdict]]:
    """What the rules say of the intended proposal."""
    house = apply(task.house, task.decisions, task.key.intended)
    for rule, _, verdict in verdicts(house, rules_of(task.edition), limits_for(task.edition)):
        yield rule, verdict


def _distances(said: Iterable[tuple[Rule, Verdict]]) -> Iterator[float]:
    for rule, verdict in said:
        distance = _distance(verdict)
        if distance is not None and not is_exempt(rule.id, verdict):
            yield round(distance, _PLACES)


def _distance(verdict: Verdict) -> float | None:
    value, limit = verdict.value, verdict.limit
    if isinstance(value, str) or isinstance(limit, str) or value is None or not limit:
        return None
    return abs(value - limit) / abs(limit)
