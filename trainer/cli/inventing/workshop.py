"""What inventing works with: the storage, a clock that starts in the past, names, and the use cases."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from random import Random
from typing import Protocol, TypeVar

from faker import Faker

from trainer.domain.tasks import Task
from trainer.persistence.papers.repositories import paper_repositories
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.programmes.repositories import programme_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.sittings.repositories import sitting_repositories
from trainer.persistence.sittings.timely import SqlTimelySaves
from trainer.services.answering import Solutions
from trainer.services.papers.desk import PaperDesk, PaperForm
from trainer.services.people.hashing import Argon2
from trainer.services.people.here import Here, without_session
from trainer.services.people.records import Member, Organisation, Person
from trainer.services.people.words import MemberState, Role
from trainer.services.practice.tasks import PracticeForm
from trainer.services.programmes.desk import ProgrammesBase
from trainer.services.programmes.refreshers import Refreshers
from trainer.services.scenarios import make_task, scenarios
from trainer.services.sittings.desk import SittingDesk, SittingForm
from trainer.services.sittings.finishing import Finishing
from trainer.services.sittings.records import Answers
from trainer.services.sittings.working import Stamp, Working

SEED = 7671
_LIKELY_WRONG = 3
"""How much likelier than any other wrong answer a planted trap is chosen."""

P = TypeVar("P", bound=PaperDesk)
S = TypeVar("S", bound=SittingDesk)
G = TypeVar("G", bound=ProgrammesBase)


class Form(PracticeForm, SittingForm, PaperForm, Protocol):
    """How tasks and gradings are written for storage, for papers and for sittings."""


@dataclass
class Clock:
    """A clock that is moved forward by hand, so that a log made with it reads in order."""

    now: datetime

    def __call__(self) -> datetime:
        """The time that it shows."""
        return self.now

    def pass_by(self, **time: float) -> None:
        """Lets time go by."""
        self.now += timedelta(**time)

    def reach(self, moment: datetime) -> None:
        """Goes on to a moment, never back."""
        self.now = max(self.now, moment)


@dataclass(kw_only=True)
class Workshop:
    """Everything that the stages of inventing share. ``password`` opens every invented account."""

    storage: SqlStorage
    password: str
    clock: Clock
    form: Form
    new_id: Callable[[], str]
    random: Random = field(default_factory=lambda: Random(SEED))  # noqa: S311 - invented people, no secret
    solutions: Solutions = field(default_factory=Solutions)

    def __post_init__(self) -> None:
        """Names from a fixed seed; they may change with the library's version, nothing rests on them."""
        self.names = Faker("en_GB")
        self.names.seed_instance(SEED)
        self._hash = Argon2().hash(self.password)

    def papers(self, kind: type[P]) -> P:
        """Use cases of papers."""
        scopes = self.storage.scopes(paper_repositories)
        return kind(storage=scopes, form=self.form, now=self.clock, new_id=self.new_id)

    def sittings(self, kind: type[S]) -> S:
        """Use cases of sittings."""
        return kind(
            storage=self.storage.scopes(sitting_repositories),
            timely=SqlTimelySaves(self.storage.database),
            form=self.form,
            catalogue=tuple(scenarios().misconceptions.values()),
            now=self.clock,
            new_id=self.new_id,
            solutions=self.solutions,
        )

    def programmes(self, kind: type[G]) -> G:
        """Use cases of programmes."""
        return kind(storage=self.storage.scopes(programme_repositories), now=self.clock, new_id=self.new_id)

    def refreshers(self) -> Refreshers:
        """Use cases of refreshers."""
        return Refreshers(
            storage=self.storage.scopes(programme_repositories),
            now=self.clock,
            new_id=self.new_id,
            make=make_task,
            form=self.form,
        )

    def member(
        self, organisation: Organisation, role: Role, *, sign_in_name: str | None = None, **place: str | None
    ) -> Here:
        """A new member with an account, by an invented name; gives the member as one who acts."""
        # Without a title, by which lists would be sorted.
        name = f"{self.names.first_name()} {self.names.last_name()}"
        person = Person(
            id=self.new_id(),
            sign_in_name=sign_in_name
            or f"{name.lower().replace(' ', '.').replace('..', '.')}-{self.new_id()[:4].lower()}",
            email=None,
            display_name=name,
            password_hash=self._hash,
            password_changed_at=self.clock(),
            is_operator=False,
            learner_id=None,
            created_at=self.clock(),
        )
        member = Member(
            id=self.new_id(),
            organisation_id=organisation.id,
            person_id=person.id,
            display_name=name,
            email=None,
            reference=None,
            site_id=place.get("site_id"),
            trade_role_id=place.get("trade_role_id"),
            state=MemberState.ACTIVE,
            created_at=self.clock(),
            roles=frozenset({role}),
        )
        with self.storage.scopes(people_repositories).writing() as stored:
            stored.people.add(person)
            stored.members.add(member)
        return without_session(organisation, member)

    def sit(self, who: Here, sitting_id: str, tasks: Mapping[int, Task], ability: float, minutes: float) -> None:
        """Answers everything as somebody of an ability from 0 to 1 would, and takes that long."""
        working = self.sittings(Working)
        for position, task in tasks.items():
            self.clock.pass_by(minutes=minutes / len(tasks))
            stamp = Stamp(sender=self.new_id(), sequence=1, base=0)
            working.save(who, sitting_id, position, self.answers(task, ability), stamp)

    def hand_in(self, who: Here, sitting_id: str) -> None:
        """Ends a sitting and has it marked."""
        self.sittings(Finishing).hand_in(who, sitting_id)

    def answers(self, task: Task, ability: float) -> Answers:
        """What somebody of an ability from 0 to 1 would answer."""
        given: dict[str, str] = {}
        certainty: dict[str, int] = {}
        for decision in task.decisions:
            right = task.key.intended[decision.id]
            traps = [trap.option for trap in task.key.traps if trap.decision == decision.id] * _LIKELY_WRONG
            others = [option.id for option in decision.options if option.id != right]
            given[decision.id] = self._drawn(right, traps + others, ability, certainty, decision.id)
        for ask in task.asks:
            key = task.key.asks[ask.id]
            known = [wrong.answer for wrong in key.wrongs]
            given[ask.id] = self._drawn(key.model, known, ability, certainty, ask.id)
        return Answers(given=given, certainty=certainty, unfinished={})

    def _drawn(self, right: str, wrong: list[str], ability: float, certainty: dict[str, int], name: str) -> str:
        """The right answer as likely as the ability, else a wrong one; how sure, a little better than chance."""
        is_right = not wrong or self.random.random() < ability
        certainty[name] = min(3, max(0, round(self.random.gauss(2.0 if is_right else 1.4, 0.9))))
        return right if is_right else self.random.choice(wrong)
