"""What the use cases ask of storage, in plain values; persistence answers it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from trainer.domain.tasks import Task, TaskKind
    from trainer.services.practice.work import Work


@dataclass(frozen=True, slots=True, kw_only=True)
class StoredTask:
    """A task as it was delivered: the bytes of its canonical JSON and the facts to find it by."""

    content_hash: str
    content: bytes
    seed: int
    generator_version: str
    rule_set_version: str
    edition: str
    kind: str
    level: int
    archetype: str
    created_at: datetime

    @classmethod
    def of(cls, task: Task, content_hash: str, content: bytes, at: datetime) -> StoredTask:
        """A task with the hash and the bytes under which it is written."""
        return cls(
            content_hash=content_hash,
            content=content,
            seed=task.seed,
            generator_version=task.generator_version,
            rule_set_version=task.rule_set_version,
            edition=task.edition.value,
            kind=task.kind.value,
            level=task.level,
            archetype=task.archetype,
            created_at=at,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class PageRecord:
    """A page that shows one task to one learner; its id is random and tells nothing of the task."""

    id: str
    content_hash: str
    learner_id: str | None
    created_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class LearnerRecord:
    """A learner without an account."""

    id: str
    created_at: datetime
    last_seen_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class ObjectiveOutcome:
    """The marks that one decision of an attempt counts towards one objective."""

    objective_id: str
    misconception_id: str | None
    marks: int
    marks_available: int


@dataclass(frozen=True, slots=True, kw_only=True)
class AttemptRecord:
    """A graded submission. ``number`` counts the attempts at one page from 1."""

    id: str
    page_id: str
    number: int
    learner_id: str | None
    answers_json: str
    certainty_json: str
    grade_json: bytes
    marks: int
    marks_available: int
    safe_to_energise: bool
    rule_set_version: str
    edition: str
    started_at: datetime
    submitted_at: datetime
    outcomes: tuple[ObjectiveOutcome, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class AttemptPlace:
    """Where an attempt stands among all, and the rule sets it was judged under, its first one first."""

    page_id: str
    number: int
    attempt_id: str
    rule_set_versions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RegradingRecord:
    """An attempt judged again under another rule set, kept beside what it was given first."""

    attempt_id: str
    rule_set_version: str
    edition: str
    grade_json: bytes
    marks: int
    marks_available: int
    safe_to_energise: bool
    reason: str
    regraded_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class ObjectiveTally:
    """All that a learner has earned towards one objective."""

    objective_id: str
    decisions: int
    marks: int
    marks_available: int
    last_practised_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class MisconceptionTally:
    """How often a learner showed one misconception."""

    misconception_id: str
    times: int
    last_shown_at: datetime


class Tasks(Protocol):
    """Tasks by the hash of their content."""

    def keep(self, task: StoredTask) -> None:
        """Stores the task unless one with the same content is there already."""

    def get(self, content_hash: str) -> StoredTask | None:
        """The task with this hash."""

    def contents(self, content_hashes: Collection[str]) -> Mapping[str, bytes]:
        """The contents of those that are there, by hash."""


class Pages(Protocol):
    """Pages by their random id."""

    def add(self, page: PageRecord) -> None:
        """Stores a new page."""

    def get(self, page_id: str) -> PageRecord | None:
        """The page with this id."""


class Learners(Protocol):
    """Learners by their random id."""

    def add(self, learner: LearnerRecord) -> None:
        """Stores a new learner."""

    def without_account(self, learner_id: str) -> LearnerRecord | None:
        """The learner with this id, unless an account has it."""

    def seen(self, learner_id: str, at: datetime) -> None:
        """Notes when the learner was last here."""


class Attempts(Protocol):
    """Graded submissions."""

    def record(self, attempt: AttemptRecord) -> AttemptRecord:
        """Stores the attempt and gives it back, or gives back the one that was there first.

        A page and a number name one attempt: posting the same form twice, also at the same
        moment, leaves one record and both posts see it.
        """

    def get(self, attempt_id: str) -> AttemptRecord | None:
        """The attempt with this id."""

    def at_page(self, page_id: str) -> Sequence[AttemptRecord]:
        """All attempts at a page, first to last."""

    def latest_of(self, learner_id: str, *, limit: int) -> Sequence[AttemptRecord]:
        """The newest attempts of a learner, newest first."""

    def levels_at(self, page_ids: Collection[str], kind: TaskKind) -> Mapping[str, int]:
        """The level of the task at each of these pages that shows one of a kind."""

    def after(self, place: AttemptPlace | None, *, limit: int) -> Sequence[AttemptPlace]:
        """The next attempts of all by page and number, from the first where ``place`` is None.

        ``place`` is the last one read, so that any number of attempts can be gone through a few at
        a time, while others are handed in.
        """

    def count(self) -> int:
        """How many attempts there are in all."""

    def objective_tallies(self, learner_id: str) -> Sequence[ObjectiveTally]:
        """One tally for each objective that the learner has met, by objective id."""

    def misconception_tallies(self, learner_id: str) -> Sequence[MisconceptionTally]:
        """One tally for each misconception that the learner has shown, most frequent first."""


class Regradings(Protocol):
    """Attempts that were judged again."""

    def record(self, regrading: RegradingRecord) -> RegradingRecord:
        """Stores the result and gives it back, or gives back the one that was there first."""

    def of(self, attempt_ids: Sequence[str]) -> Mapping[str, Sequence[RegradingRecord]]:
        """For each of the attempts that was judged again its results, oldest first."""


class Repositories(Protocol):
    """Everything stored, seen through one transaction."""

    @property
    def tasks(self) -> Tasks:
        """Tasks by the hash of their content."""

    @property
    def pages(self) -> Pages:
        """Pages by their random id."""

    @property
    def learners(self) -> Learners:
        """Learners by their random id."""

    @property
    def attempts(self) -> Attempts:
        """Graded submissions."""

    @property
    def regradings(self) -> Regradings:
        """Attempts that were judged again."""


class Looks(Protocol):
    """What every page of practice asks; each is a question of its own."""

    def page(self, page_id: str) -> tuple[PageRecord, bool] | None:
        """The page with this id, and whether anything was handed in at it."""

    def learner(self, learner_id: str, *, without_account: bool = False) -> LearnerRecord | None:
        """The learner with this id; on demand only one that belongs to no account."""

    def work(self, page_id: str) -> Work | None:
        """What was done at a page and not handed in."""


class Storage(Protocol):
    """Opens the stored data for reading, or for writing."""

    @property
    def looks(self) -> Looks:
        """What every page of practice asks."""

    def reading(self) -> AbstractContextManager[Repositories]:
        """Repositories that read; an attempt to write through them fails."""

    def writing(self) -> AbstractContextManager[Repositories]:
        """Repositories in one transaction: durable when the block ends, undone if it raises."""
