"""A task: an invented installation with its pack of papers, what to decide, and the key."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from trainer.domain.answers.decisions import Decision
from trainer.domain.asks.forms import Ask, AskKey
from trainer.domain.installation import Installation
from trainer.domain.vocabulary import Edition


class TaskKind(StrEnum):
    """What a learner does with a task."""

    CHOOSE = "choose"
    INSPECT = "inspect"
    MEASURE = "measure"
    QUESTION = "question"


class SheetKind(StrEnum):
    """The papers of a pack."""

    SUPPLY_RECORD = "supply_record"
    SURVEY = "survey"
    DATA_SHEET = "data_sheet"
    CUSTOMER = "customer"


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetRow:
    """One line of a table on a sheet; ``unit`` is empty where the value is a word."""

    label: str
    value: str
    unit: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One paper of the pack. ``subject`` is the path of the record that it describes."""

    id: str
    title: str
    kind: SheetKind
    rows: tuple[SheetRow, ...] = ()
    notes: tuple[str, ...] = ()
    subject: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trap:
    """A tempting wrong option that was planted: which one, which rule it breaks, and why."""

    id: str
    misconception: str
    decision: str
    option: str
    rule: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """What the generator knows: one compliant proposal, the traps it planted, the answers to what is asked."""

    intended: Mapping[str, str]
    traps: tuple[Trap, ...] = ()
    asks: Mapping[str, AskKey] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One task as delivered: decisions to make in a task of kind choose, else asks to answer.

    ``house`` holds the first option's values at the paths that the decisions set; they carry no
    meaning and are left out of everything that a learner sees.
    """

    seed: int
    generator_version: str
    rule_set_version: str
    edition: Edition
    kind: TaskKind
    level: int
    archetype: str
    title: str
    story: str
    house: Installation
    pack: tuple[Sheet, ...]
    decisions: tuple[Decision, ...]
    key: Key
    asks: tuple[Ask, ...] = ()
    language: str = "en-GB"

    @property
    def undecided_paths(self) -> frozenset[str]:
        """The paths whose values are for the learner to choose."""
        return frozenset(path for decision in self.decisions for path in decision.paths)
