"""What somebody with an account can do about the data that are kept: take a copy, delete all of it."""

from __future__ import annotations

from sqlalchemy import select

from tests.web.people.conftest import (
    Browser,
    app,  # noqa: F401 - fixtures that pytest finds by name
    box,  # noqa: F401
    browser_of,  # noqa: F401
    build,
    clock,  # noqa: F401
)
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.accounts import PersonRow
from trainer.persistence.tables.organisations import MemberRow

DATA = "/plan/data"


def person_of(storage: SqlStorage, member_id: str) -> str | None:
    with storage.database.reading() as session:
        return session.scalars(select(MemberRow.person_id).where(MemberRow.id == member_id)).one()


def erased(browser: Browser, **fields: str):
    return browser.post(DATA, fields, page=DATA)


def test_a_learner_deletes_the_account_and_the_organisation_keeps_the_member(storage: SqlStorage, browser_of) -> None:  # noqa: F811
    build(storage, "college")
    learner = browser_of("college-learner")
    assert learner.get(f"{DATA}.json").status_code == 200
    answer = erased(learner, sure="yes", name="College-Learner")
    assert (answer.status_code, answer.headers["Location"]) == (303, f"{DATA}?deleted=account")
    assert "Your account is gone" in learner.get(answer.headers["Location"]).text
    assert learner.get("/account").status_code == 303
    assert person_of(storage, "college-learner") is None
    with storage.database.reading() as session:
        assert session.get(PersonRow, "college-learner") is None


def test_nothing_is_deleted_without_the_tick_and_the_own_name(storage: SqlStorage, browser_of) -> None:  # noqa: F811
    build(storage, "college")
    learner = browser_of("college-learner")
    for fields in ({"sure": "yes"}, {"name": "college-learner"}, {"sure": "yes", "name": "somebody"}):
        answer = erased(learner, **fields)
        assert (answer.status_code, "nothing was deleted" in answer.text) == (400, True)
    assert person_of(storage, "college-learner") == "college-learner"


def test_the_only_administrator_of_an_organisation_stays(storage: SqlStorage, browser_of) -> None:  # noqa: F811
    build(storage, "college")
    answer = erased(browser_of("college-administrator"), sure="yes", name="college-administrator")
    assert (answer.status_code, "the only administrator" in answer.text) == (400, True)
