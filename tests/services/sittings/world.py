"""A college whose group has a paper of four tasks, one of each kind, and the use cases over it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import cache
from itertools import count
from typing import Any, TypeVar

from sqlalchemy import select

from trainer.domain.tasks import Task, TaskKind
from trainer.persistence.models import Base
from trainer.persistence.papers.repositories import paper_repositories
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.sittings.repositories import sitting_repositories
from trainer.persistence.sittings.timely import SqlTimelySaves
from trainer.persistence.tables.papers import PaperRow
from trainer.services.answering import Solutions
from trainer.services.papers.blueprint import Blueprint, Slot, write_blueprint
from trainer.services.papers.making import Made, keep, made
from trainer.services.papers.records import Arrangement, Paper
from trainer.services.papers.words import PaperMode, PaperState, ReleasePolicy
from trainer.services.people.here import Here
from trainer.services.people.records import Group, GroupPlace, Member, Organisation
from trainer.services.people.words import GroupPart, MemberState, OrganisationKind, Role
from trainer.services.scenarios import scenarios
from trainer.services.sittings.answers import written
from trainer.services.sittings.desk import SittingDesk
from trainer.services.sittings.records import Answers
from trainer.web.sittings.wired import SittingStoredForm

NOON = datetime(2026, 11, 2, 12, 0, tzinfo=UTC)
COLLEGE, GROUP, PAPER = "college", "group", "paper"
# Planted where no page may show it.
SECRET = "planted-secret-of-the-paper"

BLUEPRINT = Blueprint(
    slots=(
        Slot(kind=TaskKind.CHOOSE, level=2, objectives=(), archetype="village_hall", marks=12),
        Slot(kind=TaskKind.QUESTION, level=1, family="voltage_at_the_electrode", marks=5),
        Slot(kind=TaskKind.MEASURE, level=2, archetype="village_hall", marks=6),
        Slot(kind=TaskKind.INSPECT, level=2, archetype="village_hall", marks=7),
    )
)
D = TypeVar("D", bound=SittingDesk)


@dataclass
class Clock:
    """A clock that a test moves, also back."""

    now: datetime = NOON

    def __call__(self) -> datetime:
        return self.now

    def pass_by(self, **time: float) -> None:
        self.now += timedelta(**time)


@dataclass
class World:
    """The storage, the clock and ids in order."""

    storage: SqlStorage
    clock: Clock = field(default_factory=Clock)
    ids: Any = field(default_factory=lambda: count(1))

    def desk(self, kind: type[D]) -> D:
        return kind(
            storage=self.storage.scopes(sitting_repositories),
            timely=SqlTimelySaves(self.storage.database),
            form=SittingStoredForm(),
            catalogue=tuple(scenarios().misconceptions.values()),
            now=self.clock,
            new_id=lambda: f"id-{next(self.ids)}",
            solutions=SOLUTIONS,
        )

    def rows(self, table: type[Base]) -> list[Any]:
        with self.storage.database.reading() as session:
            return list(session.scalars(select(table)))

    def set_paper(self, **values: object) -> None:
        with self.storage.database.writing() as session:
            row = session.get(PaperRow, PAPER)
            for name, value in values.items():
                setattr(row, name, value)

    def tasks(self, variant: int) -> Mapping[int, Task]:
        return tasks_of(variant)


SOLUTIONS = Solutions()


def here(name: str = "ann", organisation: str = COLLEGE) -> Here:
    return Here(
        person_id=f"person-{name}",
        session_id="session",
        display_name=name.title(),
        member_id=name,
        organisation=college(organisation),
        roles=frozenset({Role.LEARNER}),
        is_operator=False,
        learner_id=None,
    )


def college(name: str = COLLEGE) -> Organisation:
    return Organisation(
        id=name,
        name=f"The {name}",
        kind=OrganisationKind.COLLEGE,
        release_needs_second_person=False,
        staff_need_second_factor=False,
        created_at=NOON,
    )


def paper(**values: object) -> Paper:
    usual: dict[str, Any] = {
        "id": PAPER,
        "organisation_id": COLLEGE,
        "title": "Paper one",
        "state": PaperState.OPEN,
        "revision": 1,
        "blueprint_json": write_blueprint(BLUEPRINT),
        "mode": PaperMode.GRADED,
        "opens_at": None,
        "closes_at": None,
        "time_limit_s": 3600,
        "attempts_allowed": 1,
        "access_code": None,
        "pass_percent": None,
        "critical_errors_fail": False,
        "release_policy": ReleasePolicy.BY_HAND,
        "release_at": None,
        "variant_key": SECRET,
        "edition": "A4:2026",
        "generator_version": "1",
        "rule_set_version": "1",
        "made_by": None,
        "created_at": NOON,
        "changed_at": NOON,
    }
    return Paper(**{**usual, **values})


@cache
def variant_of(number: int) -> Made:
    """A variant of the paper; drawn once for all tests, since that takes a second."""
    return made(paper(), number, SittingStoredForm(), NOON)


@cache
def tasks_of(number: int) -> Mapping[int, Task]:
    """The tasks of a variant by position."""
    return {item.position: SittingStoredForm().read_task(task.content) for task, item in variant_of(number)}


def furnish(
    storage: SqlStorage, *, names: tuple[str, ...] = ("ann", "bob"), variants: int = 2, **values: object
) -> None:
    """A college, a group of learners, and a paper that is open to them."""
    with storage.scopes(people_repositories).writing() as stored:
        if stored.organisations.get(COLLEGE) is None:
            stored.organisations.add(college())
        stored.groups.add(Group(id=GROUP, organisation_id=COLLEGE, name="Group", created_at=NOON))
        for name in names:
            if stored.members.get(COLLEGE, name) is None:
                stored.members.add(learner(name))
        stored.groups.put([place(name) for name in names])
    with storage.scopes(paper_repositories).writing() as stored:
        stored.papers.add(paper(**values))
        stored.papers.set_groups(COLLEGE, PAPER, [GROUP])
        for number in range(1, variants + 1):
            keep(stored, variant_of(number))


def learner(name: str) -> Member:
    return Member(
        id=name,
        organisation_id=COLLEGE,
        person_id=None,
        display_name=name.title(),
        email=None,
        reference=None,
        site_id=None,
        trade_role_id=None,
        state=MemberState.INVITED,
        created_at=NOON,
        roles=frozenset({Role.LEARNER}),
    )


def place(name: str) -> GroupPlace:
    return GroupPlace(group_id=GROUP, member_id=name, organisation_id=COLLEGE, part=GroupPart.LEARNS, joined_at=NOON)


def arrange(storage: SqlStorage, name: str, **values: object) -> None:
    """What one person needs."""
    usual: dict[str, Any] = {
        "id": f"arrangement-{name}",
        "organisation_id": COLLEGE,
        "member_id": name,
        "paper_id": None,
        "extra_time_percent": 0,
        "rest_breaks_s": 0,
        "larger_text": False,
        "note": "",
        "made_by": None,
        "created_at": NOON,
    }
    with storage.scopes(paper_repositories).writing() as stored:
        stored.arrangements.add(Arrangement(**{**usual, **values}))


def right_answers(task: Task) -> dict[str, str]:
    """Answers that the key holds to be right."""
    return {each.id: task.key.asks[each.id].model for each in task.asks} or dict(task.key.intended)


def answers(given: Mapping[str, str], **certainty: int) -> Answers:
    return Answers(given=given, certainty=certainty, unfinished={})


def as_stored(given: Mapping[str, str]) -> str:
    return written(answers(given))[0]
