"""Decisions as the generator offers them: built from choices, worded and costed by the data."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from trainer.domain.answers.decisions import Decision, Edit, Option
from trainer.domain.generator.data import DecisionText, ScenarioData

ANY = "*"
"""The option text that serves every option without one of its own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One option in the making. ``costs`` names the cost index of each property that it fixes."""

    id: str
    edits: tuple[Edit, ...]
    costs: tuple[tuple[str, str], ...]
    words: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """A decision with its kind, the work that it is about, and the option that is right."""

    kind: str
    role: str
    decision: Decision
    intended: str

    def side_of(self, option: Option) -> str:
        """Whether an option stands below or above the intended one in the order of the options."""
        ids = [each.id for each in self.decision.options]
        return "below" if ids.index(option.id) < ids.index(self.intended) else "above"

    def wrong(self, option_id: str) -> Option | None:
        """The option of that id, unless it is the intended one or is not offered."""
        if option_id == self.intended:
            return None
        return next((each for each in self.decision.options if each.id == option_id), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """What a decision is about: the id that starts the decision's id, its path, and its name in words."""

    key: str
    path: str
    words: Mapping[str, str]
    role: str = ""


def offer(data: ScenarioData, kind: str, subject: Subject, choices: Sequence[Choice], intended: str) -> Offer:
    """A decision of a kind about a subject."""
    text = data.decisions[kind]
    options = tuple(
        Option(
            id=choice.id,
            label=text.options.get(choice.id, text.options.get(ANY, "")).format_map({"id": choice.id, **choice.words}),
            edits=choice.edits,
            cost=_cost(data, choice),
        )
        for choice in choices
    )
    return Offer(
        kind=kind,
        role=subject.role,
        decision=Decision(
            id=f"{subject.key}.{kind}",
            subject=subject.path,
            question=text.question.format_map(subject.words),
            options=options,
            objectives=objectives_of(text, subject.role),
        ),
        intended=intended,
    )


def objectives_of(text: DecisionText, role: str) -> tuple[str, ...]:
    """The objectives of a kind of decision about a role: the role's own, those of its family, else the kind's."""
    by_role = text.objectives_by_role
    return by_role.get(role, by_role.get(_family(role), text.objectives))


def _family(role: str) -> str:
    """The role without its number: charger for charger_2."""
    head, _, tail = role.rpartition("_")
    return head if tail.isdigit() else role


def _cost(data: ScenarioData, choice: Choice) -> int:
    return sum(data.costs[name][key] for name, key in choice.costs)


def setting(path: str, value: Any) -> Edit:
    """One value at one path."""
    return Edit(path=path, value=value)


def number(value: float) -> str:
    """A number as it is written on a device: 32, 2.5."""
    return f"{value:g}"
