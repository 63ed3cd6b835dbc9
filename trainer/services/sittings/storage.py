"""What the use cases of sittings ask of storage; persistence answers it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Protocol

from trainer.services.operation.audit import AuditLog
from trainer.services.papers.storage import Appeals, Arrangements, Moderations, Papers
from trainer.services.papers.words import SittingState
from trainer.services.sittings.records import (
    Grading,
    ItemGrading,
    SavedAnswer,
    Sitting,
    SittingItem,
)
from trainer.services.storage import Tasks


class Sittings(Protocol):
    """Sittings with their items and breaks."""

    def hold_paper(self, paper_id: str) -> None:
        """Keeps others from starting the paper until the transaction ends."""

    def is_for(self, organisation_id: str, paper_id: str, member_id: str) -> bool:
        """True when the paper is set for a group in which the member learns."""

    def variants_used(self, paper_id: str) -> Mapping[int, int]:
        """How many sittings have each variant."""

    def add(self, sitting: Sitting, items: Sequence[SittingItem]) -> bool:
        """Stores a sitting with its items; False when this attempt, or its candidate number, is there already."""

    def get(self, organisation_id: str, sitting_id: str, *, hold: bool = False) -> Sitting | None:
        """The sitting; ``hold`` keeps others from changing it until the transaction ends."""

    def state_and_task(
        self, organisation_id: str, member_id: str, sitting_id: str, position: int
    ) -> tuple[SittingState, str] | None:
        """How a member's own sitting stands, and the hash of the task of one of its items; None where there is none."""

    def of_member(self, organisation_id: str, member_id: str) -> Sequence[Sitting]:
        """All sittings of papers of a member, first to last."""

    def change(self, sitting: Sitting) -> None:
        """Stores state and clock of a sitting."""

    def begin_break(self, sitting_id: str, at: datetime) -> None:
        """Notes that a rest break began."""

    def end_break(self, sitting_id: str, at: datetime) -> None:
        """Notes that it ended."""

    def items(self, sitting_id: str) -> Sequence[SittingItem]:
        """The items in order."""

    def flag(self, sitting_id: str, position: int, *, flagged: bool) -> bool:
        """Sets or takes away the mark to come back; False where there is no such item."""

    def unfinished(self, organisation_id: str, paper_id: str) -> Sequence[Sitting]:
        """Sittings of a paper that are open, or handed in and not marked."""

    def is_one_unmarked(self, paper_id: str, *, beside: str) -> bool:
        """True when another sitting of the paper is handed in and not marked yet."""

    def due(self, now: datetime, *, limit: int) -> Sequence[Sitting]:
        """Sittings of all organisations that are open after their deadline, or handed in and not marked."""


class SavedAnswers(Protocol):
    """What stands in the items."""

    def get(self, sitting_id: str, position: int) -> SavedAnswer | None:
        """The stored answers of an item."""

    def all(self, sitting_id: str) -> Mapping[int, SavedAnswer]:
        """Those of every item that has any."""

    def put(self, sitting_id: str, answer: SavedAnswer, *, base: int) -> bool:
        """Stores it unless something newer is there, or no such item; False then, and nothing changes.

        Newer is a sequence number that is not smaller, or one of another page that is beyond
        ``base``: the number that the page had seen.
        """


class TimelySaves(Protocol):
    """Saves of those who sit and are in time: nearly all of them, so they go by themselves and fast."""

    def keep(
        self, organisation_id: str, member_id: str, sitting_id: str, answer: SavedAnswer, *, base: int
    ) -> datetime | None:
        """The deadline of the member's own sitting, once the answer is durable and the look at the clock noted.

        None, and nothing of the answer, where anything else is to be said: the sitting does not run or has
        no deadline, its time is up, the clock was set back, or ``SavedAnswers.put`` would not store it.
        """

    def look(self, organisation_id: str, member_id: str, sitting_id: str, at: datetime) -> datetime | None:
        """The deadline of the member's own sitting, once the look at the clock is noted; else None, as above."""


class Gradings(Protocol):
    """Markings."""

    def record(self, sitting: Sitting, grading: Grading) -> bool:
        """Stores a marking with all that is derived from it, and lets it count; False when it was there."""

    def items(self, sitting_id: str, number: int, *, position: int | None = None) -> Sequence[ItemGrading]:
        """The items of a marking in order, or only one of them."""


class SittingRepositories(Protocol):
    """Everything about sittings, seen through one transaction."""

    @property
    def papers(self) -> Papers:
        """Papers, their groups and their variants."""

    @property
    def arrangements(self) -> Arrangements:
        """What people need in order to sit fairly."""

    @property
    def moderations(self) -> Moderations:
        """What was changed in marks by hand."""

    @property
    def sittings(self) -> Sittings:
        """Sittings with their items and breaks."""

    @property
    def answers(self) -> SavedAnswers:
        """What stands in the items."""

    @property
    def gradings(self) -> Gradings:
        """Markings."""

    @property
    def appeals(self) -> Appeals:
        """Notes of learners that a mark is wrong."""

    @property
    def tasks(self) -> Tasks:
        """Tasks by the hash of their content."""

    @property
    def audit(self) -> AuditLog:
        """The audit chain."""
