"""A file is taken only by whoever may have it at the moment of taking, whatever was so when it was asked for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest
from sqlalchemy import delete, update

from tests.services.jobs.world import job
from tests.web.people.conftest import Browser, Clock, House, app, box, browser_of, clock
from tests.web.people.world import furnished
from trainer.persistence.jobs.repositories import job_repositories
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.organisations import GroupMemberRow
from trainer.persistence.tables.papers import PaperGroupRow, PaperRow
from trainer.persistence.tables.programmes import RecordRow
from trainer.services.jobs.records import JobFile
from trainer.services.operation.words import JobState
from trainer.services.people.words import MemberState, Role
from trainer.web.files.kinds import EVIDENCE, MARKS, MATRIX, RECORD

__all__ = ["app", "box", "browser_of", "clock"]

Browsers = Callable[..., Browser]
LECTURER, MANAGER, LEARNER = "college-lecturer", "college-training_manager", "college-learner"


@pytest.fixture
def college(storage: SqlStorage) -> House:
    """The paper is set for the group that the lecturer teaches, and was made by the administrator."""
    house = furnished(storage, "college")
    with storage.database.writing() as session:
        session.add(PaperGroupRow(paper_id="college-paper", group_id="college-group", organisation_id="college"))
        session.execute(update(PaperRow).values(made_by="college-administrator"))
    return house


def made(storage: SqlStorage, clock: Clock, kind: str, asked_by: str, **payload: object) -> str:
    """A file that somebody asked for and a runner made; gives its address."""
    asked = replace(
        job("made", parts=0, kind=kind, **payload),
        state=JobState.DONE, organisation_id="college", asked_by=asked_by, created_at=clock(), finished_at=clock(),
    )  # fmt: skip
    with storage.scopes(job_repositories).writing() as stored:
        stored.jobs.add(asked)
        stored.jobs.keep_files("made", [JobFile(name="file.csv", media_type="text/csv", content=b"marks")])
    return "/files/made/file.csv"


def answers(browser: Browser, address: str) -> tuple[int, bool]:
    """What taking answers, and whether the list offers it."""
    return browser.get(address).status_code, address in browser.get("/files").text


def test_marks_are_taken_while_the_lecturer_teaches_the_group_and_not_after(
    college: House, storage: SqlStorage, clock: Clock, browser_of: Browsers
) -> None:
    address = made(storage, clock, MARKS, LECTURER, paper_id="college-paper")
    browser = browser_of(LECTURER)
    assert answers(browser, address) == (200, True)
    with storage.database.writing() as session:
        session.execute(delete(GroupMemberRow).where(GroupMemberRow.member_id == LECTURER))
    assert answers(browser, address) == (404, False)


@pytest.mark.parametrize(
    ("kind", "facts"), [(MATRIX, {}), (EVIDENCE, {}), (RECORD, {"record_id": "college-record", "code": "CODE"})]
)
def test_what_is_about_the_firm_or_of_others_is_taken_by_managers_and_not_by_who_was_one(
    kind: str, facts: dict[str, str], college: House, storage: SqlStorage, clock: Clock, browser_of: Browsers
) -> None:
    address = made(storage, clock, kind, MANAGER, **facts)
    browser = browser_of(MANAGER)
    assert answers(browser, address) == (200, True)
    _changed(storage, MANAGER, roles=frozenset({Role.LECTURER}))
    assert answers(browser, address) == (404, False)


def test_a_record_that_was_revoked_meanwhile_is_not_handed_out(
    college: House, storage: SqlStorage, clock: Clock, browser_of: Browsers
) -> None:
    address = made(storage, clock, RECORD, LEARNER, record_id="college-record", code="CODE")
    browser = browser_of(LEARNER)
    assert answers(browser, address) == (200, True)
    with storage.database.writing() as session:
        session.execute(update(RecordRow).values(revoked_at=clock(), revoked_reason="given by mistake"))
    assert answers(browser, address) == (404, False)


def test_whoever_left_the_organisation_takes_nothing_and_gets_it_back_on_coming_back(
    college: House, storage: SqlStorage, clock: Clock, browser_of: Browsers
) -> None:
    address = made(storage, clock, MARKS, LECTURER, paper_id="college-paper")
    browser = browser_of(LECTURER)
    _changed(storage, LECTURER, state=MemberState.ENDED)
    assert browser.get(address).status_code in (302, 303, 403)
    _changed(storage, LECTURER, state=MemberState.ACTIVE)
    clock.pass_by(timedelta(minutes=1))
    assert answers(browser, address) == (200, True)


def test_nobody_takes_what_somebody_else_asked_for(
    college: House, storage: SqlStorage, clock: Clock, browser_of: Browsers
) -> None:
    address = made(storage, clock, MARKS, LECTURER, paper_id="college-paper")
    assert answers(browser_of("college-administrator"), address) == (404, False)


def _changed(storage: SqlStorage, name: str, **values: object) -> None:
    with storage.scopes(people_repositories).writing() as stored:
        known = stored.members.get("college", name)
        assert known is not None
        stored.members.change(replace(known, **values))
