"""Sittings and what belongs to them, in plain values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from trainer.domain.answers.decisions import Decision
from trainer.domain.asks.forms import Ask
from trainer.services.papers.words import HandedInBy, SittingState

OPEN_STATES = frozenset({SittingState.RUNNING, SittingState.PAUSED})


@dataclass(frozen=True, slots=True, kw_only=True)
class Needs:
    """What a person needs in order to sit fairly, from all arrangements in force together."""

    extra_time_percent: int = 0
    rest_breaks_s: int = 0
    larger_text: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Sitting:
    """One attempt of one person at one paper, or at one refresher."""

    id: str
    organisation_id: str
    member_id: str
    paper_id: str | None
    assignment_id: str | None
    number: int
    candidate_number: str | None
    variant: int
    seed: int
    state: SittingState
    started_at: datetime
    deadline_at: datetime | None
    paused_at: datetime | None
    paused_s: int
    extra_time_s: int
    larger_text: bool
    rest_breaks_s: int = 0
    last_seen_at: datetime | None = None
    handed_in_at: datetime | None = None
    handed_in_by: HandedInBy | None = None
    grading_number: int | None = None
    marks: int | None = None
    marks_available: int | None = None
    safe_to_energise: bool | None = None

    @property
    def is_open(self) -> bool:
        """True until it is handed in or void."""
        return self.state in OPEN_STATES


@dataclass(frozen=True, slots=True, kw_only=True)
class SittingItem:
    """One task of a sitting, as it was delivered."""

    position: int
    slot: int
    content_hash: str
    marks_available: int
    flagged: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Answerable:
    """What a task wants to be decided or answered: all that is needed to read an answer to it."""

    decisions: tuple[Decision, ...]
    asks: tuple[Ask, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """What stands in one item: answers that can be read, and the raw fields of those that are not finished."""

    given: Mapping[str, str]
    certainty: Mapping[str, int]
    unfinished: Mapping[str, tuple[str, ...]]


NOTHING_SAID = Answers(given={}, certainty={}, unfinished={})


@dataclass(frozen=True, slots=True, kw_only=True)
class SavedAnswer:
    """The stored answers of one item, by which open page they came, and when."""

    position: int
    sequence: int
    sender: str
    answers_json: str
    certainty_json: str
    saved_at: datetime
    late: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemGrading:
    """The marking of one item with its explanations."""

    position: int
    marks: int
    marks_available: int
    grade_json: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class DecisionOutcome:
    """How one decision of a sitting ended, for figures."""

    position: int
    slot: int
    decision_id: str
    item_key: str
    chosen: str | None
    objective_id: str
    misconception_id: str | None
    certainty: int | None
    marks: int
    marks_available: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ObjectiveSum:
    """What a sitting earned towards one objective."""

    objective_id: str
    decisions: int
    marks: int
    marks_available: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Grading:
    """One marking of a sitting, with all that is derived from it."""

    id: str
    sitting_id: str
    number: int
    marks: int
    marks_available: int
    safe_to_energise: bool
    edition: str
    rule_set_version: str
    reason: str
    graded_by: str | None
    graded_at: datetime
    items: tuple[ItemGrading, ...]
    outcomes: tuple[DecisionOutcome, ...]
    objectives: tuple[ObjectiveSum, ...]
