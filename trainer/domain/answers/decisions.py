"""What there is to choose: decisions with options, and proposals that choose."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any

from trainer.domain.errors import Problem, TrainerError, unknown
from trainer.domain.installation import Installation


class ProposalError(TrainerError):
    """A proposal that names unknown decisions or options, or leaves some out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """One value to set: the path of an attribute, such as ``devices.way6.rcd_type``.

    A path has a collection and an id (or ``supply``, ``earthing``, ``surge``, ``network``,
    ``notices`` alone), then attributes, also of nested records:
    ``circuits.charger.cable.cross_section_mm2``.
    """

    path: str
    value: Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """One possible choice: what it sets, and its invented cost index per setting."""

    id: str
    label: str
    edits: tuple[Edit, ...]
    cost: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Decision:
    """One thing to choose about one subject.

    Every option of a decision sets the same paths, and no two decisions set the same path.
    """

    id: str
    subject: str
    question: str
    options: tuple[Option, ...]
    objectives: tuple[str, ...] = ()

    @property
    def paths(self) -> tuple[str, ...]:
        """The paths that this decision sets."""
        return tuple(edit.path for edit in self.options[0].edits)

    def option(self, option_id: str) -> Option:
        """The option of that id. *Raises* ProposalError."""
        for option in self.options:
            if option.id == option_id:
                return option
        ids = [option.id for option in self.options]
        raise ProposalError(unknown(f"answers.{self.id}", option_id, ids, "option"))


Proposal = Mapping[str, str]
"""A value for every decision: decision id to option id."""


def checked_proposal(decisions: tuple[Decision, ...], proposal: Proposal) -> dict[str, str]:
    """The proposal in the order of the decisions. *Raises* ProposalError with every problem."""
    known = {decision.id: decision for decision in decisions}
    problems = [unknown(f"answers.{key}", key, known, "decision") for key in proposal if key not in known]
    for decision in decisions:
        choice = proposal.get(decision.id)
        if choice is None:
            problems.append(Problem(path=f"answers.{decision.id}", problem="no choice made"))
            continue
        ids = [option.id for option in decision.options]
        if choice not in ids:
            problems.append(unknown(f"answers.{decision.id}", choice, ids, "option"))
    if problems:
        raise ProposalError(*problems)
    return {decision.id: proposal[decision.id] for decision in decisions}


def apply(house: Installation, decisions: tuple[Decision, ...], proposal: Proposal) -> Installation:
    """The installation with every choice of a checked proposal put in."""
    edits = [edit for decision in decisions for edit in decision.option(proposal[decision.id]).edits]
    return apply_edits(house, edits)


def apply_edits(house: Installation, edits: list[Edit]) -> Installation:
    """The installation with the given attributes set, each record rebuilt once per edit."""
    changes: dict[str, Any] = {}
    for edit in edits:
        head, _, rest = edit.path.partition(".")
        current = changes.get(head, getattr(house, head))
        if isinstance(current, Mapping):
            key, _, rest = rest.partition(".")
            changes[head] = {**current, key: _set(current[key], rest, edit.value)}
        else:
            changes[head] = _set(current, rest, edit.value)
    return replace(house, **changes)


_NAMES: dict[Any, tuple[str, ...]] = {}


def names(record_class: Any) -> tuple[str, ...]:
    """The attributes of a kind of record, in their order."""
    known = _NAMES.get(record_class)
    if known is None:
        known = _NAMES[record_class] = tuple(each.name for each in fields(record_class))
    return known


def _set(record: Any, path: str, value: Any) -> Any:
    """A record with the attribute at a dotted path replaced; an empty path replaces it whole."""
    if not path:
        return value
    name, _, rest = path.partition(".")
    if not is_dataclass(record) or name not in names(type(record)):
        raise AttributeError(f"{type(record).__name__} has no {name}")
    return _changed(record, name, _set(getattr(record, name), rest, value))


def _changed(record: Any, name: str, value: Any) -> Any:
    """A copy of a record with one attribute changed; the others are taken over as they are, not asked for again."""
    copy = object.__new__(type(record))
    for each in names(type(record)):
        object.__setattr__(copy, each, value if each == name else getattr(record, each))
    return copy
