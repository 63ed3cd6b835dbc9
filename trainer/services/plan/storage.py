"""What the plan asks of storage, in plain values."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from trainer.services.papers.records import Paper
from trainer.services.papers.storage import Moderations, PaperSittings
from trainer.services.plan.scheduling import CardState
from trainer.services.plan.standing import Standing
from trainer.services.plan.words import Rating


@dataclass(frozen=True, slots=True, kw_only=True)
class Occasion:
    """What one attempt or sitting earned towards one objective; ``certainty_json`` is what was said to be how sure."""

    source_id: str
    objective_id: str
    decisions: int
    marks: int
    marks_available: int
    certainty_json: str
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Review:
    """An occasion that moved its card."""

    objective_id: str
    source_id: str
    rating: Rating
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Sat:
    """A sitting that was handed in and marked; ``paper`` is None for a refresher.

    ``is_changed`` tells that it was judged again or that staff touched marks of its paper since.
    """

    sitting_id: str
    organisation_id: str
    at: datetime
    paper: Paper | None
    needs_second_person: bool
    is_moderated: bool
    is_judged_again: bool

    @property
    def is_changed(self) -> bool:
        """True where what it earned may differ from what was counted."""
        return self.is_moderated or self.is_judged_again


@dataclass(frozen=True, slots=True, kw_only=True)
class SatDecision:
    """One decision of a sitting with its own marks; the position is that of its task."""

    position: int
    decision_id: str
    marks: int
    marks_available: int


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

    def sat(self, learner_id: str) -> Sequence[Sat]:
        """Sittings of the learner's account that were marked, oldest first, whether or not they are told yet."""

    def sat_occasions(self, sitting_ids: Collection[str]) -> Sequence[Occasion]:
        """What sittings earned towards each objective in the markings that count, without changes by hand."""

    def sat_decisions(self, sitting_id: str) -> Sequence[SatDecision]:
        """Every decision of a sitting."""

    def sat_tasks(self, sitting_id: str) -> Mapping[int, bytes]:
        """The tasks of a sitting as they are stored, by position."""

    def reviews(self, learner_id: str, objective_ids: Collection[str]) -> Sequence[Review]:
        """All that moved the cards of these objectives, in the order of time."""

    def reviews_of(self, learner_id: str, source_ids: Collection[str]) -> Sequence[Review]:
        """All cards that these attempts or sittings moved."""

    def practised(self, learner_id: str, objective_ids: Collection[str]) -> Sequence[Standing]:
        """What attempts earned towards these objectives."""

    def uncount(self, learner_id: str, reviews: Iterable[Review]) -> None:
        """Takes back that occasions moved their cards."""

    def forget(self, learner_id: str, objective_ids: Collection[str]) -> None:
        """Takes away cards and sums of objectives that were met on no occasion."""

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

    @property
    def sittings(self) -> PaperSittings:
        """Sittings with the marks of their tasks."""

    @property
    def moderations(self) -> Moderations:
        """What people did to marks."""
