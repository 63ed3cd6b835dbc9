"""Erasing and clearing of much goes in transactions of some rows each: a save in between does not wait for the rest.

SQLite has one writer at a time (sqlite.org, Isolation): how long a transaction takes is how long others wait.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import replace
from datetime import timedelta
from typing import TypeVar

import pytest
from sqlalchemy import insert, select, update
from sqlalchemy.orm import Session

from tests.persistence.privacy.people import ACCOUNT, LEARNER, described, everything
from tests.persistence.privacy.test_retention import ACTOR
from tests.web.conftest import NOON
from tests.web.people.conftest import Clock
from trainer.persistence.models import PageRow
from trainer.persistence.privacy.repositories import privacy_repositories
from trainer.persistence.privacy.shelves import SqlShelves
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.operation import RateCountRow
from trainer.persistence.tables.sittings import SavedAnswerRow, SittingRow
from trainer.services.privacy import erasing
from trainer.services.privacy import retention as retention_of_kinds
from trainer.services.privacy.retention import Retention
from trainer.services.privacy.words import Kept

T = TypeVar("T")
_PAGES = 25


@pytest.fixture
def busy(storage: SqlStorage) -> SqlStorage:
    """Somebody who opened many pages."""
    described(storage)
    with storage.database.writing() as session:
        task = session.scalars(select(PageRow.content_hash).limit(1)).one()
        pages = [
            {"id": f"page-{number}", "content_hash": task, "learner_id": LEARNER, "created_at": NOON}
            for number in range(_PAGES)
        ]
        session.execute(insert(PageRow), pages)
    return storage


def test_some_practice_is_never_more_rows_than_was_asked(busy: SqlStorage) -> None:
    changed = []
    while not changed or changed[-1]:
        with busy.scopes(privacy_repositories).writing() as stored:
            changed.append(sum(stored.eraser.some_practice(LEARNER, 10).values()))
    # The pages, and of what the described person did one of each: page, attempt, outcome, review.
    assert changed == [10, 10, 9, 0]
    assert not [row for row in everything(busy)["page"] if LEARNER in row]


def test_somebody_who_practised_much_is_erased_in_parts_and_others_come_in_between(
    busy: SqlStorage, retention: Retention, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(erasing, "_ROWS_AT_ONCE", 10)
    left: list[int] = []

    def pause() -> None:
        with busy.database.writing() as session:
            session.execute(update(PageRow).where(PageRow.id == "page-1").values(created_at=NOON))
            left.append(len(session.scalars(select(PageRow.id).where(PageRow.learner_id == LEARNER)).all()))

    rows = replace(retention, pause=pause).account(ACCOUNT, ACTOR)
    assert len(left) == 2
    assert left == sorted(left, reverse=True)
    assert rows["page"] == _PAGES + 1
    assert (rows["attempt"], rows["learner"]) == (1, 1)


def test_whoever_stands_back_does_not_while_it_holds_what_others_wait_for(
    busy: SqlStorage, retention: Retention, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each transaction that changes something of people is begun by what was given for it; the log's entry may wait."""
    promptly = Promptly()
    begun: list[bool] = []
    writing = busy.database.writing

    def noted() -> AbstractContextManager[Session]:
        begun.append(promptly.at_it)
        return writing()

    monkeypatch.setattr(busy.database, "writing", noted)
    standing_back = replace(retention, promptly=promptly)
    standing_back.account(ACCOUNT, ACTOR, everywhere=True)
    assert set(begun) == {True}
    begun.clear()
    with writing() as session:
        session.execute(update(SittingRow).values(handed_in_at=NOON))
    clock.now = NOON + timedelta(days=2191)
    cleared = standing_back.clear(ACTOR)
    assert begun.count(False) == len(cleared) < len(begun)


class Promptly:
    """Knows whether it is at it."""

    at_it = False

    def __call__(self, work: Callable[[], T], /) -> T:
        self.at_it = True
        try:
            return work()
        finally:
            self.at_it = False


def test_old_sittings_are_emptied_few_at_a_time(
    busy: SqlStorage, retention: Retention, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(retention_of_kinds._FEWER, Kept.SITTINGS, 1)
    asked: list[int] = []
    clear = SqlShelves.clear

    def noted(self: SqlShelves, kind: Kept, before, organisation_id: str, names) -> int:
        if kind is Kept.SITTINGS:
            asked.append(len(names))
        return clear(self, kind, before, organisation_id, names)

    monkeypatch.setattr(SqlShelves, "clear", noted)
    with busy.database.writing() as session:
        session.execute(update(SittingRow).values(handed_in_at=NOON))
        answered = set(session.scalars(select(SavedAnswerRow.sitting_id)))
    clock.now = NOON + timedelta(days=2191)
    retention.clear(ACTOR)
    assert answered
    assert len(asked) >= len(answered)
    assert set(asked) == {1}
    assert everything(busy)["saved_answer"] == []


def test_what_was_renewed_after_it_was_found_stays(storage: SqlStorage) -> None:
    key = "k" * 64
    with storage.database.writing() as session:
        session.add(RateCountRow(key=key, hits=3, expires_at=NOON))
    later = NOON + timedelta(days=2)
    with storage.scopes(privacy_repositories).reading() as stored:
        names = stored.shelves.old(Kept.COUNTS, later, "", 10)
    assert list(names) == [key]
    with storage.database.writing() as session:
        session.execute(update(RateCountRow).values(expires_at=later))
    with storage.scopes(privacy_repositories).writing() as stored:
        assert stored.shelves.clear(Kept.COUNTS, later, "", names) == 0
    assert len(everything(storage)["rate_count"]) == 1
