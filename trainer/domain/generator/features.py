"""What makes a task hard, counted: rules in play, steps, sums, sheets, nearness to limits, traps, words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields

from trainer.domain.answers.decisions import apply
from trainer.domain.findings import Verdict
from trainer.domain.generator.judging import rules_of, verdicts
from trainer.domain.generator.margin import COUNTED, is_exempt
from trainer.domain.generator.reading_load import words_to_read
from trainer.domain.limits import limits_for
from trainer.domain.tasks import SheetKind, Task

_PERCENT = 100.0
_FAR_PERCENT = 100.0
"""How far the nearest value counts as lying from its limit where there is none that is computed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Features:
    """The features of one task. ``nearest_percent`` is how far the nearest computed value lies from its limit."""

    rules: int
    steps: int
    options: int
    sums: int
    sheets: int
    nearest_percent: float
    traps: int
    words: int


NAMES = tuple(each.name for each in fields(Features))


def features_of(task: Task) -> Features:
    """The features of a task to choose, from the house with the intended proposal in it."""
    house = apply(task.house, task.decisions, task.key.intended)
    found = list(verdicts(house, rules_of(task.edition), limits_for(task.edition)))
    return Features(
        rules=len({rule.id for rule, _, _ in found}),
        steps=len(task.decisions),
        options=sum(len(each.options) for each in task.decisions),
        sums=sum(1 for _, _, verdict in found if _is_sum(verdict)),
        sheets=sum(1 for sheet in task.pack if sheet.kind is SheetKind.DATA_SHEET),
        nearest_percent=min(
            (_distance_percent(verdict) for rule, _, verdict in found if _is_computed(rule.id, verdict)),
            default=_FAR_PERCENT,
        ),
        traps=len(task.key.traps),
        words=words_to_read((task.title, task.story), task.pack, task.decisions),
    )


def _is_sum(verdict: Verdict) -> bool:
    terms = verdict.terms() if callable(verdict.terms) else verdict.terms
    return len(tuple(terms)) > 1


def _is_computed(rule_id: str, verdict: Verdict) -> bool:
    """True for a number held against a limit where neither is a rating or a count."""
    numbers = isinstance(verdict.value, int | float) and isinstance(verdict.limit, int | float)
    return numbers and bool(verdict.limit) and verdict.unit not in COUNTED and not is_exempt(rule_id, verdict)


def _distance_percent(verdict: Verdict) -> float:
    value, limit = float(verdict.value or 0), float(verdict.limit or 1)
    return round(abs(value - limit) / abs(limit) * _PERCENT, 1)


def values(features: Features) -> Iterator[tuple[str, float]]:
    """Each feature by name."""
    for name in NAMES:
        yield name, float(getattr(features, name))
