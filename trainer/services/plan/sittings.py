"""What sittings count for in a plan: only once their result may be seen, and as it stands then.

An objective counts as met when the sitting was handed in. Where staff changed marks or voided a
task, the decisions of that task count with what it is worth now.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime

from trainer.services.papers.counting import CountedItem, counted
from trainer.services.papers.states import state_at
from trainer.services.papers.variants import scaled_marks
from trainer.services.papers.words import PaperMode, PaperState
from trainer.services.plan.storage import Occasion, PlanRepositories, Sat, SatDecision

Aims = Callable[[bytes], Mapping[str, Sequence[str]]]
"""Reads from a stored task the objectives of each decision, by its id."""
LONGEST_ID = 80
"""As much of a decision's id as a sitting keeps."""


def no_aims(_content: bytes) -> Mapping[str, Sequence[str]]:
    """Where no task is read: marks changed by hand then count for nothing."""
    return {}


def is_told(sat: Sat, now: datetime) -> bool:
    """True when the learner may see the result: released, or at once in practice and refreshers."""
    if sat.paper is None or sat.paper.mode is PaperMode.PRACTICE:
        return True
    return state_at(sat.paper, now, needs_second_person=sat.needs_second_person) is PaperState.RELEASED


def occasions_of(stored: PlanRepositories, told: Sequence[Sat], aims: Aims) -> Mapping[str, tuple[Occasion, ...]]:
    """By sitting what it earned towards each objective, with every change of marks that counts."""
    found: dict[str, list[Occasion]] = {each.sitting_id: [] for each in told}
    for occasion in stored.plans.sat_occasions(list(found)):
        found[occasion.source_id].append(occasion)
    for sat in told:
        if sat.is_moderated:
            found[sat.sitting_id] = _moderated(stored, sat, found[sat.sitting_id], aims)
    return {name: tuple(listed) for name, listed in found.items()}


def _moderated(stored: PlanRepositories, sat: Sat, plain: Sequence[Occasion], aims: Aims) -> list[Occasion]:
    assert sat.paper is not None, "only papers are moderated"  # noqa: S101 - tells mypy
    changes = stored.moderations.of_paper(sat.organisation_id, sat.paper.id)
    items = {
        each.graded.position: each
        for each in counted(stored.sittings.item_marks(sat.paper.id, sat.sitting_id), changes)
    }
    if not any(each.changes for each in items.values()):
        return list(plain)
    tasks = {position: aims(content) for position, content in stored.plans.sat_tasks(sat.sitting_id).items()}
    met: dict[tuple[str, int], list[SatDecision]] = {}
    for each in stored.plans.sat_decisions(sat.sitting_id):
        for objective in tasks.get(each.position, {}).get(each.decision_id, ()):
            met.setdefault((objective, each.position), []).append(each)
    sums: dict[str, list[tuple[int, int, int]]] = {}
    for (objective, position), decisions in met.items():
        if position in items and not items[position].is_voided:
            sums.setdefault(objective, []).append(_earned(items[position], decisions))
    said = {each.objective_id: each.certainty_json for each in plain}
    return [
        Occasion(
            source_id=sat.sitting_id,
            objective_id=objective,
            decisions=sum(each[0] for each in listed),
            marks=sum(each[1] for each in listed),
            marks_available=sum(each[2] for each in listed),
            certainty_json=said.get(objective, json.dumps({})),
            at=sat.at,
        )
        for objective, listed in sorted(sums.items())
    ]


def _earned(item: CountedItem, decisions: Sequence[SatDecision]) -> tuple[int, int, int]:
    """(decisions, marks, marks available): their own, or the share that somebody gave the whole task."""
    own, available = sum(each.marks for each in decisions), sum(each.marks_available for each in decisions)
    if item.changes:
        own = scaled_marks(item.marks, item.marks_available, available)
    return len(decisions), own, available
