"""Erasing gives way to whoever saves at the same moment: no save fails, and the erasing is done a moment later.

In PostgreSQL two that wait for each other are told apart after a second (deadlock_timeout), and either may be ended.
"""

from __future__ import annotations

import threading
import time
from concurrent.futures import ThreadPoolExecutor
from itertools import count

import pytest
from sqlalchemy import select, update
from sqlalchemy.exc import OperationalError

from tests.patience import PATIENCE_S
from tests.persistence.people.conftest import college
from tests.web.conftest import NOON
from tests.web.people.conftest import member, person
from trainer.persistence import scopes
from trainer.persistence.operation.audit import SqlAuditLog
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.privacy.repositories import privacy_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.organisations import MemberRow
from trainer.services.operation.audit import Actor, AuditEvent
from trainer.services.people.words import Role
from trainer.services.privacy.erasing import Erasing
from trainer.services.privacy.words import ERASED
from trainer.services.scopes import GaveWayError

__all__ = ["college"]

ACTOR = Actor(kind="command", id="privacy")


@pytest.fixture
def erasing(college: SqlStorage) -> Erasing:
    with college.scopes(people_repositories).writing() as stored:
        stored.people.add(person("ann"))
        stored.members.add(member("ann", "college", Role.LEARNER, person_id="ann"))
    numbers = count()
    privacy = college.scopes(privacy_repositories)
    return Erasing(storage=privacy, now=lambda: NOON, new_id=lambda: f"new-{next(numbers)}")


@pytest.fixture
def patient(monkeypatch: pytest.MonkeyPatch) -> None:
    """Gives way as often as it takes: on a busy machine the saves of a test last longer than eight tries."""
    monkeypatch.setattr(scopes, "_TRIES", 500)


def event(number: int) -> AuditEvent:
    return AuditEvent(
        at=NOON, actor=ACTOR, action="member.saved", subject_kind="member", subject_id=f"save-{number}",
        organisation_id="college", facts={},
    )  # fmt: skip


def save(storage: SqlStorage, number: int, meanwhile: threading.Event | None = None) -> None:
    """A save as most are: first the row, then the entry in the log. Erasing takes them the other way round."""
    with storage.database.writing() as session:
        session.execute(update(MemberRow).where(MemberRow.id == "ann").values(reference=f"r{number}"))
        if meanwhile is not None:
            meanwhile.set()
            # Long enough for the erasing to hold the log and to want the row.
            time.sleep(0.5)
        SqlAuditLog(session).append(event(number))


def name_of(storage: SqlStorage) -> str:
    with storage.database.reading() as session:
        return session.scalars(select(MemberRow.display_name).where(MemberRow.id == "ann")).one()


@pytest.mark.usefixtures("patient")
def test_a_save_and_an_erasing_that_want_each_other_s_rows_both_succeed(college: SqlStorage, erasing: Erasing) -> None:
    begun = threading.Event()
    with ThreadPoolExecutor(2) as pool:
        saving = pool.submit(save, college, 1, begun)
        assert begun.wait(PATIENCE_S)
        rows = pool.submit(erasing.member, "college", "ann", ACTOR).result(PATIENCE_S)
        saving.result(PATIENCE_S)
    assert rows["member"] == 1
    assert name_of(college) == ERASED


@pytest.mark.usefixtures("patient")
def test_many_saves_go_on_while_somebody_is_erased_and_none_fails(college: SqlStorage, erasing: Erasing) -> None:
    with ThreadPoolExecutor(4) as pool:
        saves = [pool.submit(save, college, number) for number in range(40)]
        erased = pool.submit(erasing.account, "ann", ACTOR, everywhere=True)
        for each in saves:
            each.result(PATIENCE_S)
        erased.result(PATIENCE_S)
    assert name_of(college) == ERASED


def test_whoever_never_gets_a_turn_is_told_and_has_changed_nothing(
    college: SqlStorage, erasing: Erasing, monkeypatch: pytest.MonkeyPatch
) -> None:
    if college.database.kind == "sqlite":
        # Writers take turns there and wait for half a minute; nothing to give way to.
        return
    monkeypatch.setattr(scopes, "_PAUSE_S", 0.0)
    with college.database.writing() as session:
        session.execute(update(MemberRow).where(MemberRow.id == "ann").values(reference="held"))
        with pytest.raises(GaveWayError, match="try again in a minute"):
            erasing.member("college", "ann", ACTOR)
    assert name_of(college) == "Ann"


def test_any_other_failure_of_the_database_is_not_tried_again(college: SqlStorage) -> None:
    tries = []

    def work(_stored: object) -> None:
        tries.append(1)
        raise OperationalError("SELECT", {}, ValueError("no such thing"))

    with pytest.raises(OperationalError):
        college.scopes(privacy_repositories).giving_way(work)
    assert tries == [1]
