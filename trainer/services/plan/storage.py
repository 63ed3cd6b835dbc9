"""What the plan asks of storage, in plain values."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from trainer.services.plan.scheduling import CardState
from trainer.services.plan.standing import Standing
from trainer.services.plan.words import Rating


@dataclass(frozen=True, slots=True, kw_only=True)
class Occasion:
    """What one attempt earned towards one objective; ``certainty_json`` is that of the whole attempt."""

    attempt_id: str
    objective_id: str
    decisions: int
    marks: int
    marks_available: int
    certainty_json: str
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenPage:
    """A task that was begun and never handed in."""

    page_id: str
    kind: str
    level: int
    archetype: str
    created_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """One attempt of the record."""

    attempt_id: str
    page_id: str
    number: int
    kind: str
    level: int
    archetype: str
    marks: int
    marks_available: int
    safe_to_energise: bool
    edition: str
    submitted_at: datetime


class Plans(Protocol):
    """Cards, and the practice that they rest on."""

    def hold(self, learner_id: str) -> None:
        """Lets nobody else move the cards of a learner until the end of the transaction."""

    def unreviewed(self, learner_id: str) -> Sequence[Occasion]:
        """Occasions that no card has counted, oldest first."""

    def count(self, learner_id: str, rated: Sequence[tuple[Occasion, Rating]]) -> None:
        """Notes that occasions move their cards."""

    def keep(self, learner_id: str, cards: Iterable[CardState], standings: Iterable[Standing]) -> None:
        """Stores cards and sums in the place of those before."""

    def cards(self, learner_id: str) -> Sequence[CardState]:
        """All cards of a learner."""

    def standings(self, learner_id: str) -> Sequence[Standing]:
        """What was earned towards each objective that was met."""

    def lost_last(self, learner_id: str) -> Sequence[str]:
        """The objectives whose last occasion was rated again."""

    def open_pages(self, learner_id: str, *, since: datetime, limit: int) -> Sequence[OpenPage]:
        """Tasks that were begun since then and not handed in, newest first."""

    def done(self, learner_id: str, *, offset: int, limit: int) -> Sequence[Done]:
        """The record, newest first."""

    def count_done(self, learner_id: str) -> int:
        """How many attempts the record has."""


class PlanRepositories(Protocol):
    """Everything that the plan needs in one transaction."""

    @property
    def plans(self) -> Plans:
        """Cards, and the practice that they rest on."""
