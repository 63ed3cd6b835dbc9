"""What a marked item leaves for figures: one outcome for each decision, in words that all variants share."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from trainer.domain.answers.marking import DecisionGrade
from trainer.domain.asks.forms import Ask, AskForm
from trainer.domain.tasks import Task, TaskKind
from trainer.services.sittings.partial import PartGrade
from trainer.services.sittings.records import DecisionOutcome, ObjectiveSum, SittingItem

_LONGEST = 80
RIGHT, OTHER = "right", "other"
"""What stands for a number: values differ from variant to variant."""


def outcomes_of(item: SittingItem, task: Task, marked: PartGrade) -> list[DecisionOutcome]:
    """How each decision or ask of an item ended."""
    asks = {each.id: each for each in task.asks}
    aims = objectives_of(task)
    keys = item_keys(task)
    return [
        DecisionOutcome(
            position=item.position,
            slot=item.slot,
            decision_id=each.id[:_LONGEST],
            item_key=keys[each.id],
            chosen=None if each.id in marked.unanswered else _chosen(asks.get(each.id), each),
            objective_id=(aims[each.id] or ("",))[0],
            misconception_id=each.misconception,
            certainty=each.certainty,
            marks=each.marks,
            marks_available=each.marks_available,
        )
        for each in marked.grade.decisions
    ]


def item_keys(task: Task) -> dict[str, str]:
    """For each decision or ask what is the same question over all variants; a second one of a kind counts on."""
    met: Counter[str] = Counter()
    keys: dict[str, str] = {}
    for name in objectives_of(task):
        kind = f"{task.kind.value}.{_what(task, name)}"
        met[kind] += 1
        keys[name] = (kind if met[kind] == 1 else f"{kind}#{met[kind]}")[:_LONGEST]
    return keys


def objectives_of(task: Task) -> dict[str, tuple[str, ...]]:
    """The objectives of each decision or ask."""
    if task.asks:
        return {each.id: each.objectives for each in task.asks}
    return {each.id: each.objectives for each in task.decisions}


def sums_of(graded: Iterable[tuple[Task, PartGrade]]) -> tuple[ObjectiveSum, ...]:
    """The sums for each objective over all items; a decision counts towards each of its objectives."""
    found: dict[str, list[tuple[int, int]]] = {}
    for task, marked in graded:
        aims = objectives_of(task)
        for each in marked.grade.decisions:
            for objective in aims[each.id]:
                found.setdefault(objective, []).append((each.marks, each.marks_available))
    return tuple(_sum(name, pairs) for name, pairs in sorted(found.items()))


def _sum(name: str, pairs: Sequence[tuple[int, int]]) -> ObjectiveSum:
    return ObjectiveSum(
        objective_id=name,
        decisions=len(pairs),
        marks=sum(marks for marks, _ in pairs),
        marks_available=sum(available for _, available in pairs),
    )


def _what(task: Task, name: str) -> str:
    """The part of an id that does not name a place: ``type`` of way4.type, ``insulation`` of insulation.lights."""
    if task.kind is TaskKind.QUESTION:
        return task.archetype if len(task.asks) == 1 else f"{task.archetype}.{name}"
    first, _, rest = name.partition(".")
    if task.kind is TaskKind.MEASURE:
        return f"{first}.{rest.partition('.')[0]}" if first == "limit" else first
    return first if first == "seen" or not rest else name.rpartition(".")[2]


def _chosen(ask: Ask | None, each: DecisionGrade) -> str:
    if ask is not None and ask.form is AskForm.NUMBER:
        return RIGHT if each.is_right else each.misconception or OTHER
    return each.chosen[:_LONGEST]
