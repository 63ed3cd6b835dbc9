"""Entries from paper that were begun and not handed in: the pages say until when each stays, and it stays as long."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest

from tests.web.people.conftest import Browser, Clock
from tests.web.printing.test_entering import begun, handed_in, saved, whole
from trainer.persistence.privacy.repositories import privacy_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.services.operation.audit import Actor
from trainer.services.privacy.retention import Retention
from trainer.services.privacy.words import Kept

ACTOR = Actor(kind="command", id="privacy")


@pytest.fixture
def retention(storage: SqlStorage, clock: Clock) -> Retention:
    return Retention(storage=storage.scopes(privacy_repositories), now=clock, new_id=lambda: "unused")


def plain(page: str) -> str:
    """The page without its tags."""
    return " ".join(re.sub(r"<[^>]+>", "", page).split())


def test_every_page_of_an_entry_says_until_when_it_stays(lecturer: Browser, paper: str, storage: SqlStorage) -> None:
    assert "not handed in" not in plain(lecturer.get(paper).text)
    address = begun(lecturer, paper)
    # Ninety days from 2 November 2026, 12:00: 28 left of November, 31, 31, so 31 January 2027.
    for page in (address, f"{address}/check"):
        assert "stays until 31 Jan 2027, 12:00 UTC, counted anew with every save" in plain(lecturer.get(page).text)
    assert "not handed in; stays until 31 Jan 2027, 12:00 UTC" in plain(lecturer.get(f"{paper}/on-paper").text)
    told = plain(lecturer.get(paper).text)
    assert "1 entry is begun and not handed in. What was entered is cleared after 31 Jan 2027, 12:00 UTC." in told


def test_of_several_entries_the_page_counts_all_and_says_when_the_first_is_cleared(
    lecturer: Browser, paper: str, clock: Clock
) -> None:
    begun(lecturer, paper)
    clock.pass_by(timedelta(days=1))
    lecturer.sign_in("college-lecturer")
    begun(lecturer, paper, member="learner-2")
    told = plain(lecturer.get(paper).text)
    assert "2 entries are begun and not handed in." in told
    assert "cleared after 31 Jan 2027, 12:00 UTC" in told


def test_a_save_counts_anew_and_handing_in_ends_it(
    lecturer: Browser, paper: str, storage: SqlStorage, clock: Clock
) -> None:
    address = begun(lecturer, paper)
    clock.pass_by(timedelta(days=10))
    lecturer.sign_in("college-lecturer")
    saved(lecturer, address, whole(storage, paper))
    assert "stays until 10 Feb 2027, 12:00 UTC" in plain(lecturer.get(address).text)
    assert handed_in(lecturer, address).status_code == 303
    assert "not handed in" not in plain(lecturer.get(paper).text)


def test_it_stays_as_long_as_the_page_says_and_no_longer(
    lecturer: Browser, paper: str, clock: Clock, retention: Retention
) -> None:
    address = begun(lecturer, paper)
    clock.pass_by(timedelta(days=90))
    lecturer.sign_in("college-lecturer")
    retention.clear(ACTOR)
    assert lecturer.get(address).status_code == 200
    clock.pass_by(timedelta(seconds=1))
    retention.clear(ACTOR)
    assert lecturer.get(address).status_code == 404


def test_the_site_s_own_time_is_the_one_that_is_told(lecturer: Browser, paper: str, retention: Retention) -> None:
    address = begun(lecturer, paper)
    retention.set_time(Kept.JOBS, 30, ACTOR)
    assert "stays until 2 Dec 2026, 12:00 UTC" in plain(lecturer.get(address).text)
