"""What every use case of papers works with, and who may act on which paper."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from trainer.domain.answers.marking import Grade
from trainer.domain.errors import Problem
from trainer.domain.tasks import Task
from trainer.services.operation.audit import Actor, AuditEvent, Fact
from trainer.services.papers.blueprint import Blueprint, barring, read_blueprint
from trainer.services.papers.errors import PaperChangedError, PaperError
from trainer.services.papers.records import Paper
from trainer.services.papers.states import state_at
from trainer.services.papers.storage import PaperRepositories
from trainer.services.papers.words import PaperState, SeedMark
from trainer.services.people.here import Here
from trainer.services.people.words import Role
from trainer.services.regrading.differences import SaidGrade
from trainer.services.scopes import Scopes

CLOCK = Actor(kind="job", id="clock")
SHORTEST_REASON, LONGEST_REASON = 5, 500


class PaperForm(Protocol):
    """How tasks and grades are written for storage and read again."""

    def write_task(self, task: Task, weights: Sequence[int]) -> tuple[str, bytes]:
        """The content id and the bytes of a task with its key."""

    def read_task(self, content: bytes) -> Task:
        """The task that was written."""

    def write_grade(self, task: Task, task_id: str, grade: Grade) -> bytes:
        """A grade with its explanations."""

    def read_grade(self, content: bytes) -> SaidGrade:
        """The grade that was written, as far as it can be compared."""

    def said(self, task: Task, task_id: str, grade: Grade) -> SaidGrade:
        """A grade as it would be read after it was written."""


@dataclass(frozen=True, kw_only=True)
class PaperDesk:
    """All that changes from outside is handed in."""

    storage: Scopes[PaperRepositories]
    form: PaperForm
    now: Callable[[], datetime]
    new_id: Callable[[], str]

    def paper(self, here: Here, paper_id: str) -> Paper:
        """A paper that the member may act on, in the state that the clock gives it. *Raises* PaperError."""
        with self.storage.reading() as stored:
            paper = self.mine(stored, here, paper_id)
            second = _needs_second(stored, paper)
        if state_at(paper, self.now(), needs_second_person=second) is paper.state:
            return paper
        self.tick(paper.organisation_id)
        with self.storage.reading() as stored:
            return self.mine(stored, here, paper_id)

    def mine(self, stored: PaperRepositories, here: Here, paper_id: str) -> Paper:
        """The paper, if the member may act on it: what is another's looks as if it were not there."""
        paper = stored.papers.get(here.organisation_id, paper_id)
        if paper is None or not (sees_all(here) or stored.papers.may_see(paper, here.member_id)):
            raise PaperError(Problem(path="paper", problem="is not one of yours"))
        return paper

    def drawn_from(self, paper: Paper) -> Blueprint:
        """What a paper is drawn from: its blueprint, and for a draft also what its organisation bars."""
        blueprint = read_blueprint(paper.blueprint_json)
        if paper.state is not PaperState.DRAFT:
            return blueprint
        with self.storage.reading() as stored:
            return barring(blueprint, barred_in(stored, paper.organisation_id))

    def tick(self, organisation_id: str | None = None) -> int:
        """Lets the clock open, close and release papers; gives how many. Any number may do so at once."""
        now = self.now()
        with self.storage.reading() as stored:
            due = [each for each in stored.papers.due(now) if organisation_id in (None, each.organisation_id)]
        changed = 0
        for each in due:
            with self.storage.writing() as stored:
                paper = stored.papers.get(each.organisation_id, each.id)
                if paper is not None:
                    changed += self._ticked(stored, paper, now)
        return changed

    def _ticked(self, stored: PaperRepositories, paper: Paper, now: datetime) -> int:
        to = state_at(paper, now, needs_second_person=_needs_second(stored, paper))
        if to is paper.state:
            return 0
        released_at = now if to is PaperState.RELEASED else paper.released_at
        self.put(stored, paper, replaced(paper, state=to, changed_at=now, released_at=released_at))
        stored.audit.append(self.event(CLOCK, f"paper.{to.value}", paper))
        return 1

    def put(self, stored: PaperRepositories, before: Paper, after: Paper) -> Paper:
        """Stores a change of a paper. *Raises* PaperChangedError where another came first."""
        if not stored.papers.change(after, seen=before.revision):
            raise PaperChangedError(changed_by_another())
        return replaced(after, revision=before.revision + 1)

    def event(self, actor: Actor, action: str, paper: Paper, **facts: Fact) -> AuditEvent:
        """An event about a paper, for the audit chain."""
        return AuditEvent(
            at=self.now(),
            actor=actor,
            action=action,
            subject_kind="paper",
            subject_id=paper.id,
            organisation_id=paper.organisation_id,
            facts=facts,
        )


def barred_in(stored: PaperRepositories, organisation_id: str) -> tuple[int, ...]:
    """The seeds that no paper of an organisation draws."""
    return tuple(each.seed for each in stored.seeds.of(organisation_id) if each.mark is SeedMark.BARRED)


def sees_all(here: Here) -> bool:
    """True for whoever sees all papers of the organisation."""
    return here.is_any(Role.ADMINISTRATOR)


def checked_reason(text: str, path: str = "reason") -> str:
    """A reason that says something. *Raises* PaperError."""
    reason = " ".join(text.split())
    if not SHORTEST_REASON <= len(reason) <= LONGEST_REASON:
        problem = f"write in {SHORTEST_REASON} to {LONGEST_REASON} characters why; it is kept with the marks"
        raise PaperError(Problem(path=path, problem=problem))
    return reason


def changed_by_another() -> Problem:
    """What the later of two editors is told."""
    return Problem(
        path="paper",
        problem="somebody else changed this paper while you had it open, and theirs is kept; "
        "what you entered still stands in this form: compare, then save again to put it in place of theirs",
    )


def replaced(paper: Paper, **values: object) -> Paper:
    """The paper with other values."""
    every = {name: getattr(paper, name) for name in Paper.__slots__}
    return Paper(**{**every, **values})


def _needs_second(stored: PaperRepositories, paper: Paper) -> bool:
    organisation = stored.organisations.get(paper.organisation_id)
    return organisation is not None and organisation.release_needs_second_person
