"""A cookie that holds the number of a learner with an account, as an old copy may: it opens nothing of the account."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from flask import Flask

from tests.web.people.conftest import Browser, House
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.accounts import PersonRow
from trainer.services.people.joining import Joining
from trainer.web.present import LEARNER, Desks

Browsers = Callable[..., Browser]
NAME = "college-learner"


@pytest.fixture
def number(app: Flask, college: House, storage: SqlStorage, browser_of: Browsers) -> str:
    """The number under which the account's practice is recorded, with one task begun."""
    browser = browser_of(NAME)
    begun = browser.post("/practise", {"kind": "question", "level": "2"}, page="/practise")
    assert begun.status_code == 303
    with storage.database.reading() as session:
        found = session.get(PersonRow, NAME).learner_id
    assert found is not None
    return found


def holding(app: Flask, number: str) -> Browser:
    """A browser without an account whose cookie holds the number."""
    client = app.test_client()
    with client.session_transaction() as session:
        session[LEARNER] = number
    return Browser(client)


def number_in(browser: Browser) -> str | None:
    with browser.client.session_transaction() as session:
        return session.get(LEARNER)


@pytest.mark.parametrize("path", ["/my-results", "/plan", "/plan/data", "/progress", "/practise", "/"])
def test_pages_are_those_of_somebody_new(app: Flask, number: str, path: str) -> None:
    copied, fresh = holding(app, number), Browser(app.test_client())
    read, expected = copied.get(path), fresh.get(path)
    assert read.status_code == expected.status_code
    # But for the token against other sites, which every session has of its own.
    assert _bare(read.text) == _bare(expected.text)


@pytest.mark.parametrize("path", ["/my-results/results.pdf", "/plan/data.json"])
def test_files_of_the_account_are_not_handed_out(app: Flask, number: str, path: str) -> None:
    fresh = Browser(app.test_client()).get(path)
    copied = holding(app, number).get(path)
    assert copied.status_code == fresh.status_code
    assert number not in copied.text


def test_practice_under_such_a_cookie_is_recorded_under_a_new_number(app: Flask, number: str) -> None:
    browser = holding(app, number)
    assert browser.post("/practise", {"kind": "question", "level": "2"}, page="/practise").status_code == 303
    assert number_in(browser) not in (None, number)


def test_nothing_of_the_account_is_deleted_through_it(app: Flask, number: str, storage: SqlStorage) -> None:
    browser = holding(app, number)
    assert browser.post("/plan/data", {"sure": "yes"}, page="/practise").status_code == 404
    with storage.database.reading() as session:
        assert session.get(PersonRow, NAME).learner_id == number


def test_nobody_else_takes_the_practice_over_with_it(app: Flask, number: str, storage: SqlStorage) -> None:
    desks = app.extensions["trainer.desks"]
    assert isinstance(desks, Desks)
    with storage.scopes(people_repositories).reading() as stored:
        other = stored.people.get("college-lecturer")
        assert other is not None
    desks.make(Joining).keep_practice(other, number)
    with storage.database.reading() as session:
        assert session.get(PersonRow, NAME).learner_id == number
        assert session.get(PersonRow, "college-lecturer").learner_id is None


def test_the_owner_who_signs_in_sees_everything(app: Flask, number: str) -> None:
    browser = holding(app, number)
    assert browser.sign_in(NAME).status_code == 303
    assert number in browser.get("/plan/data.json").text


def _bare(page: str) -> str:
    return "\n".join(line for line in page.splitlines() if "csrf_token" not in line)
