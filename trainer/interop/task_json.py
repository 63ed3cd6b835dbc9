"""Tasks as JSON: everything that was delivered, so that a stored task replays from itself.

The installation leaves out what the decisions set; each option carries ``sets``, the paths
and values that it puts there, in order. The id is the hash of the canonical bytes without id and key.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

from trainer.domain.answers.decisions import Decision, Option
from trainer.domain.answers.solver import Solution
from trainer.domain.findings import Verdict
from trainer.domain.rules.registry import Rule
from trainer.domain.tasks import Sheet, Task
from trainer.interop.asks_json import ask_keys_json, asks_json
from trainer.interop.canonical import canonical_members, canonical_object, content_hash
from trainer.interop.installations import installation_to_json, plain_value
from trainer.interop.task_margin import margin_of

TASK_FORMAT: Final = "protection-trainer/task"
FORMAT_VERSION: Final = 1
_EXACT: Final = 2**53


def task_json(
    task: Task,
    weights: Sequence[int],
    caution: str,
    *,
    solution: Solution | None = None,
    with_key: bool = False,
) -> dict[str, Any]:
    """The task as an object. ``weights`` are the marks of the decisions in order.

    With key: what was intended and planted, and how many proposals are acceptable.
    """
    document = _shown(task, weights, caution)
    document["id"] = content_hash(document)
    if with_key:
        document["key"] = _key(task, solution)
    return document


def task_bytes(
    task: Task, weights: Sequence[int], caution: str, said: Iterable[tuple[Rule, Verdict]] | None = None
) -> tuple[str, bytes]:
    """The id of a task, and the canonical bytes of its object with id and key.

    ``said`` is what the rules said of the intended proposal, where that is known.
    """
    members = canonical_members(_shown(task, weights, caution))
    own_id = hashlib.sha256(canonical_object(members)).hexdigest()
    members |= canonical_members({"id": own_id, "key": _key(task, None, said)})
    return own_id, canonical_object(members)


def _shown(task: Task, weights: Sequence[int], caution: str) -> dict[str, Any]:
    """What a learner sees, without id and key."""
    document: dict[str, Any] = {
        "format": TASK_FORMAT,
        "format_version": FORMAT_VERSION,
        "seed": task.seed,
        "generator_version": task.generator_version,
        "rule_set_version": task.rule_set_version,
        "edition": task.edition.value,
        "kind": task.kind.value,
        "level": task.level,
        "archetype": task.archetype,
        "language": task.language,
        "title": task.title,
        "story": task.story,
        "installation": open_installation(task),
        "pack": [_sheet(sheet) for sheet in task.pack],
        "decisions": [
            _decision(each, marks) for each, marks in zip(task.decisions, () if task.asks else weights, strict=True)
        ],
        "caution": caution,
    }
    if task.asks:
        document["asks"] = asks_json(task.asks, task.key.asks)
    return document


def task_id(document: Mapping[str, Any]) -> str:
    """The id that a document's content gives it."""
    return content_hash({name: value for name, value in document.items() if name not in ("id", "key")})


def open_installation(task: Task) -> dict[str, Any]:
    """The installation without the values that are for the learner to choose."""
    document = installation_to_json(task.house, task.edition)
    for path in task.undecided_paths:
        holder, name = holder_of(document, path)
        if holder is not None:
            holder.pop(name, None)
    return document


def holder_of(document: dict[str, Any], path: str) -> tuple[dict[str, Any] | None, str]:
    """The table in which the last part of a path stands, and that part."""
    *parts, name = path.split(".")
    place: Any = document
    for part in parts:
        if isinstance(place, list):
            place = next((item for item in place if item.get("id") == part), None)
        else:
            place = place.get(part)
        if place is None:
            return None, name
    return place, name


def _sheet(sheet: Sheet) -> dict[str, Any]:
    return {
        "id": sheet.id,
        "title": sheet.title,
        "kind": sheet.kind.value,
        "subject": sheet.subject,
        "rows": [{"label": row.label, "value": row.value, "unit": row.unit} for row in sheet.rows],
        "notes": list(sheet.notes),
    }


def _decision(decision: Decision, marks: int) -> dict[str, Any]:
    return {
        "id": decision.id,
        "subject": decision.subject,
        "question": decision.question,
        "options": [_option(option) for option in decision.options],
        "marks": marks,
        "objectives": list(decision.objectives),
    }


def _option(option: Option) -> dict[str, Any]:
    return {
        "id": option.id,
        "label": option.label,
        "cost": option.cost,
        "sets": [{"path": edit.path, "value": plain_value(edit.value)} for edit in option.edits],
    }


def _key(task: Task, solution: Solution | None, said: Iterable[tuple[Rule, Verdict]] | None = None) -> dict[str, Any]:
    key: dict[str, Any] = {
        "intended": dict(task.key.intended),
        "traps": [
            {
                "id": trap.id,
                "misconception": trap.misconception,
                "decision": trap.decision,
                "option": trap.option,
                "rule": trap.rule,
            }
            for trap in task.key.traps
        ],
    }
    if task.asks:
        key["asks"] = ask_keys_json(task.key.asks)
    margin = margin_of(task, said) if task.decisions else None
    if margin is not None:
        key["margin"] = margin
    if solution is not None:
        count = solution.acceptable_count
        key["acceptable_count"] = count if count <= _EXACT else str(count)
    return key
