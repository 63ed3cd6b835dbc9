"""What every use case of sittings works with, and the looks at a sitting that all of them share."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Protocol

from trainer.domain.answers.misconceptions import Misconception
from trainer.domain.errors import Problem
from trainer.domain.tasks import Task
from trainer.services.answering import Solutions
from trainer.services.operation.audit import Actor, AuditEvent, Fact
from trainer.services.papers.records import Paper
from trainer.services.papers.states import MARKED, state_at
from trainer.services.papers.variants import VariantItem
from trainer.services.papers.words import HandedInBy, PaperMode, PaperState, SittingState
from trainer.services.people.here import Here
from trainer.services.practice.tasks import TaskForm
from trainer.services.scopes import Promptly, Scopes, as_it_comes
from trainer.services.sittings.clock import ends_at, is_over, on_the_clock, with_break_ended
from trainer.services.sittings.errors import NotYoursError
from trainer.services.sittings.known import Known
from trainer.services.sittings.records import Answerable, Sitting, SittingItem
from trainer.services.sittings.storage import SittingRepositories, TimelySaves

BY_CLOCK = Actor(kind="job", id="clock")


class SittingForm(TaskForm, Protocol):
    """How tasks and grades are written, and what a stored task asks without reading all of it."""

    def asked(self, content: bytes) -> Sequence[str]:
        """The ids of everything that a stored task wants to be decided or answered."""

    def title(self, content: bytes) -> tuple[str, str]:
        """The title and the kind of a stored task."""

    def answerable(self, content: bytes) -> Answerable:
        """What a stored task wants to be decided or answered, without its house."""


@dataclass(frozen=True, kw_only=True)
class SittingDesk:
    """The storage, the forms of what is written, and the clock; all that changes from outside is handed in."""

    storage: Scopes[SittingRepositories]
    timely: TimelySaves
    form: SittingForm
    catalogue: Sequence[Misconception]
    now: Callable[[], datetime]
    new_id: Callable[[], str]
    solutions: Solutions = field(default_factory=Solutions)
    known: Known = field(default_factory=Known)
    # True while a job runner is at work, which marks what is handed in within seconds.
    is_runner_at_work: Callable[[], bool] = lambda: False
    # Whoever stands back for others must not do so while they wait for what it holds.
    promptly: Promptly = as_it_comes

    def looked_at(
        self, stored: SittingRepositories, sitting: Sitting, now: datetime, *, stores: bool = True
    ) -> Sitting:
        """The sitting after a look at the clock; ended where its time is up. In a transaction that writes.

        What the look changed is stored, unless the caller is about to change more and ``stores`` all
        of it at once: an end is stored always.
        """
        if not sitting.is_open:
            return sitting
        looked = on_the_clock(sitting, now)
        if looked.deadline_at != sitting.deadline_at or looked.paused_at != sitting.paused_at:
            set_back_s = int(((sitting.last_seen_at or sitting.started_at) - now).total_seconds())
            stored.audit.append(self.event(BY_CLOCK, "sitting.clock_set_back", sitting, by_s=set_back_s))
        if is_over(looked, now):
            return self.ended(stored, looked, now, BY_CLOCK, HandedInBy.TIME)
        if looked.deadline_at is None and _is_closed(stored, looked, now):
            return self.ended(stored, looked, now, BY_CLOCK, HandedInBy.STAFF)
        if stores and looked != sitting:
            stored.sittings.change(looked)
        return looked

    def ended(
        self, stored: SittingRepositories, sitting: Sitting, now: datetime, actor: Actor, by: HandedInBy
    ) -> Sitting:
        """The sitting handed in, stored; by time it ends when its time was up, whenever that is noticed."""
        at = (ends_at(sitting, now) or now) if by is HandedInBy.TIME else now
        if sitting.state is SittingState.PAUSED:
            stored.sittings.end_break(sitting.id, now)
            sitting = with_break_ended(sitting, now)
        done = replace(sitting, state=SittingState.HANDED_IN, handed_in_at=at, handed_in_by=by)
        stored.sittings.change(done)
        # Last, since whoever else writes to the chain waits from here until this is durable.
        stored.audit.append(self.event(actor, "sitting.handed_in", sitting, by=by.value))
        return done

    def task(self, stored: SittingRepositories, content_hash: str) -> Task:
        """A stored task; the latest ones are known and not read again."""
        return self.known.tasks.of(content_hash, lambda: self.form.read_task(content_of(stored, content_hash)))

    def event(self, actor: Actor, action: str, sitting: Sitting, **facts: Fact) -> AuditEvent:
        """An event about a sitting; no answers and no marks stand in it."""
        return AuditEvent(
            at=self.now(),
            actor=actor,
            action=action,
            subject_kind="sitting",
            subject_id=sitting.id,
            organisation_id=sitting.organisation_id,
            facts=facts,
        )


def _is_closed(stored: SittingRepositories, sitting: Sitting, now: datetime) -> bool:
    """True when nobody sits the paper any more: what ends a sitting that has no deadline."""
    paper = stored.papers.get(sitting.organisation_id, sitting.paper_id) if sitting.paper_id else None
    return paper is not None and state_at(paper, now) in MARKED


def ends_now(sitting: Sitting, now: datetime, *, is_closed: bool) -> bool:
    """True for an open sitting that a look would end; ``is_closed`` is true of the paper once nobody sits it."""
    looked = on_the_clock(sitting, now)
    return is_over(looked, now) or (looked.deadline_at is None and is_closed)


def content_of(stored: SittingRepositories, content_hash: str) -> bytes:
    """The content of a task that an item names. *Raises* LookupError where the database is damaged."""
    kept = stored.tasks.get(content_hash)
    if kept is None:
        raise LookupError(f"the task of an item is not stored: {content_hash}")
    return kept.content


def own(stored: SittingRepositories, here: Here, sitting_id: str, *, hold: bool = False) -> Sitting:
    """The member's own sitting. *Raises* NotYoursError: another's looks as if it were not there."""
    sitting = stored.sittings.get(here.organisation_id, sitting_id, hold=hold)
    if sitting is None or sitting.member_id != here.member_id:
        raise NotYoursError(Problem(path="sitting", problem="is not one of yours"))
    return sitting


def is_told(here: Here, paper: Paper | None, sitting: Sitting, now: datetime) -> bool:
    """True when the result may be seen: released, or at once in practice and refreshers."""
    if sitting.state is not SittingState.HANDED_IN or sitting.grading_number is None:
        return False
    if paper is None or paper.mode is PaperMode.PRACTICE:
        return True
    second = here.organisation.release_needs_second_person
    return state_at(paper, now, needs_second_person=second) is PaperState.RELEASED


def items_of(variant: Iterable[VariantItem]) -> list[SittingItem]:
    """The tasks of a variant as those of a sitting."""
    return [
        SittingItem(
            position=each.position,
            slot=each.slot,
            content_hash=each.content_hash,
            marks_available=each.marks_available,
        )
        for each in variant
    ]
