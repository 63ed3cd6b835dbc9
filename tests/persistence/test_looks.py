"""What every page of practice asks, and how little that is."""

from __future__ import annotations

import pytest

from tests.persistence.heard import statements
from tests.persistence.records import ATTEMPT, LEARNER, NOON, PAGE, keep_page
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.accounts import PersonRow
from trainer.persistence.works import work_repositories
from trainer.services.practice.work import Working


@pytest.fixture(autouse=True)
def page(storage: SqlStorage) -> None:
    keep_page(storage)


def test_a_page_is_told_with_whether_anything_was_handed_in_at_it(storage: SqlStorage) -> None:
    assert storage.looks.page(PAGE.id) == (PAGE, False)
    with storage.writing() as stored:
        stored.attempts.record(ATTEMPT)
    assert storage.looks.page(PAGE.id) == (PAGE, True)
    assert storage.looks.page("no-such-page") is None


def test_a_learner_with_an_account_is_none_without_one(storage: SqlStorage) -> None:
    assert storage.looks.learner(LEARNER.id, without_account=True) == LEARNER
    with storage.database.writing() as session:
        person = PersonRow(id="p", sign_in_name="p", display_name="P", is_operator=False, created_at=NOON)
        person.learner_id = LEARNER.id
        session.add(person)
    assert storage.looks.learner(LEARNER.id, without_account=True) is None
    assert storage.looks.learner(LEARNER.id) == LEARNER
    assert storage.looks.learner("nobody") is None


def test_work_is_told_as_it_was_kept(storage: SqlStorage) -> None:
    assert storage.looks.work(PAGE.id) is None
    working = Working(storage=storage.scopes(work_repositories), looks=storage.looks, now=lambda: NOON)
    working.take_hint(PAGE.id, "decision")
    found = storage.looks.work(PAGE.id)
    assert found is not None
    assert found.hinted == ("decision",)


def test_each_look_is_one_statement(storage: SqlStorage) -> None:
    with statements() as said:
        storage.looks.page(PAGE.id)
        storage.looks.learner(LEARNER.id)
        storage.looks.work(PAGE.id)
    assert [each.split(maxsplit=1)[0] for each in said] == ["SELECT"] * 3
