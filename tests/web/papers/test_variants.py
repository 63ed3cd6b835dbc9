"""Variants drawn by the job runner: how far they are, stopped, gone on with, and told when nobody draws them."""

from __future__ import annotations

from datetime import timedelta

import pytest
from flask import Flask

from tests.web.papers.conftest import LEARNERS, SPARE, made, moved, with_tasks
from tests.web.people.conftest import Browser, Clock
from tests.web.taking import Run
from trainer.persistence.jobs.repositories import job_repositories
from trainer.persistence.papers.repositories import paper_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.services.jobs.asking import SOON
from trainer.services.jobs.running import LEASE, beat
from trainer.web.papers.background import SWITCH

WANTED = LEARNERS + SPARE
QUESTIONS = {"slots": "1", "slot-1-kind": "question", "slot-1-level": "1", "slot-1-count": "1"}


@pytest.fixture
def locked(lecturer: Browser, app: Flask) -> str:
    """The address of a paper that was just locked, as the runner's to draw."""
    app.config[SWITCH] = True
    address = made(lecturer)
    with_tasks(lecturer, address, **QUESTIONS)
    assert moved(lecturer, address, "locked", 2).status_code == 303
    return address


def drawn(storage: SqlStorage, address: str) -> list[int]:
    with storage.scopes(paper_repositories).reading() as stored:
        return sorted(stored.papers.variants(address.rpartition("/")[2]))


def test_locking_asks_the_runner_for_everybody_s_variant_and_the_page_shows_how_far_it_is(
    lecturer: Browser, locked: str, run: Run, storage: SqlStorage
) -> None:
    page = lecturer.get(locked).text
    assert f"0 of {WANTED} made" in page
    assert "Look again" in page
    assert drawn(storage, locked) == []
    run()
    page = lecturer.get(locked).text
    assert "Look again" not in page
    assert f"{WANTED} of {WANTED}" in page
    assert drawn(storage, locked) == list(range(1, WANTED + 1))


def test_where_no_runner_is_at_work_the_page_says_so_after_seconds_and_no_longer_asks_to_wait(
    lecturer: Browser, locked: str, clock: Clock
) -> None:
    clock.pass_by(SOON)
    assert "Nothing is made in the background here now" not in lecturer.get(locked).text
    clock.pass_by(timedelta(seconds=1))
    page = lecturer.get(locked).text
    assert "Nothing is made in the background here now" in page
    assert "trainer jobs run" in page
    assert "Look again" not in page


def test_a_runner_that_is_at_work_is_waited_for_and_one_that_fell_silent_is_not(
    lecturer: Browser, locked: str, clock: Clock, storage: SqlStorage
) -> None:
    clock.pass_by(SOON + timedelta(seconds=1))
    beat(storage.scopes(job_repositories), clock())
    assert "Look again" in lecturer.get(locked).text
    clock.pass_by(LEASE)
    assert "Look again" in lecturer.get(locked).text
    clock.pass_by(timedelta(seconds=1))
    assert "Nothing is made in the background here now" in lecturer.get(locked).text


def test_drawing_ahead_is_stopped_and_gone_on_with_by_a_button(
    lecturer: Browser, locked: str, run: Run, storage: SqlStorage
) -> None:
    assert lecturer.post(f"{locked}/variants", {"do": "stop"}, page="/papers/new").status_code == 303
    page = lecturer.get(locked).text
    assert "Not all variants are made ready" in page
    run()
    assert drawn(storage, locked) == []
    lecturer.post(f"{locked}/variants", {"do": "go-on"}, page="/papers/new")
    run()
    assert len(drawn(storage, locked)) == WANTED


def test_a_paper_that_was_taken_back_and_changed_meanwhile_gets_the_variants_of_what_it_is_now(
    lecturer: Browser, locked: str, run: Run, storage: SqlStorage
) -> None:
    moved(lecturer, locked, "draft", 3)
    with_tasks(lecturer, locked, **QUESTIONS, revision="4", **{"slot-1-marks": "7"})
    assert moved(lecturer, locked, "locked", 5).status_code == 303
    run()
    with storage.scopes(paper_repositories).reading() as stored:
        items = stored.papers.variant(locked.rpartition("/")[2], 1)
    assert [each.marks_available for each in items] == [7]
    assert len(drawn(storage, locked)) == WANTED


def test_a_paper_that_is_a_draft_again_is_not_drawn_and_the_reason_is_kept(
    lecturer: Browser, locked: str, run: Run, storage: SqlStorage
) -> None:
    moved(lecturer, locked, "draft", 3)
    run()
    assert drawn(storage, locked) == []


def test_whoever_does_not_teach_the_group_cannot_stop_it(
    locked: str, run: Run, storage: SqlStorage, browser_of
) -> None:
    answer = browser_of("other").post(f"{locked}/variants", {"do": "stop"}, page="/papers/new")
    assert answer.status_code in (400, 404)
    run()
    assert len(drawn(storage, locked)) == WANTED
