"""Decisions in groups by what they are about, as the page shows them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from trainer.domain.answers.decisions import Decision
from trainer.domain.tasks import Task
from trainer.explain.names import capitalised, name_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """One subject with its decisions and the marks of each."""

    name: str
    decisions: tuple[Decision, ...]
    marks: dict[str, int]


def groups_of(task: Task, weights: Sequence[int], translate: Callable[[str], str]) -> list[Group]:
    """The decisions of a task by subject, in the order in which the subjects first appear."""
    marks = {each.id: weight for each, weight in zip(task.decisions, weights, strict=True)}
    by_subject: dict[str, list[Decision]] = {}
    for each in task.decisions:
        by_subject.setdefault(each.subject, []).append(each)
    return [
        Group(name=capitalised(name_of(task.house, subject, translate)), decisions=tuple(members), marks=marks)
        for subject, members in by_subject.items()
    ]


def links_of(decisions: Sequence[Decision]) -> dict[str, str]:
    """For each place of the drawing the first decision about it, or else the first that sets something there."""
    links: dict[str, str] = {}
    for each in reversed(decisions):
        links.update({place: f"#decision-{each.id}" for path in each.paths for place in (path, _place(path))})
    links.update({each.subject: f"#decision-{each.id}" for each in reversed(decisions)})
    return links


def places_of(decisions: Sequence[Decision]) -> dict[str, tuple[str, ...]]:
    """For each decision the places of the drawing at which it can be made."""
    return {
        each.id: tuple(dict.fromkeys((each.subject, *(p for path in each.paths for p in (path, _place(path))))))
        for each in decisions
    }


def _place(path: str) -> str:
    """The record that an attribute belongs to; an electrode is a place of its own beside the earthing."""
    head, *rest = path.split(".")
    if head in ("devices", "circuits", "equipment", "boards"):
        return f"{head}.{rest[0]}"
    return path if rest and "electrode" in rest[0] else head


def place_name(task: Task, path: str, translate: Callable[[str], str]) -> str:
    """The name of a place of the drawing, as the head of what is asked about it."""
    return capitalised(name_of(task.house, path, translate))
