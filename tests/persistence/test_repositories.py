"""What was stored comes back as it was."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from sqlalchemy.exc import DBAPIError, IntegrityError

from tests.persistence.records import ATTEMPT, LEARNER, NOON, PAGE, TASK, keep_page
from trainer.persistence.repositories import SqlStorage
from trainer.services.storage import MisconceptionTally, ObjectiveTally, Storage


def test_the_database_is_a_storage_as_the_services_ask_for(storage: SqlStorage) -> None:
    asked_for: Storage = storage
    with asked_for.reading() as stored:
        assert stored.tasks.get("0" * 64) is None


def test_a_task_comes_back_byte_for_byte_with_the_largest_seed(storage: SqlStorage) -> None:
    keep_page(storage)
    with storage.reading() as stored:
        assert stored.tasks.get(TASK.content_hash) == TASK


def test_a_task_that_is_there_already_stays_as_it_was_first_kept(storage: SqlStorage) -> None:
    keep_page(storage)
    with storage.writing() as stored:
        stored.tasks.keep(replace(TASK, created_at=NOON + timedelta(days=1)))
    with storage.reading() as stored:
        assert stored.tasks.get(TASK.content_hash) == TASK


def test_contents_of_many_tasks_come_at_once_and_those_that_are_not_there_are_left_out(storage: SqlStorage) -> None:
    """More than one statement may name; the numbers of the tasks are their contents."""
    tasks = [replace(TASK, content_hash=f"{number:064}", content=b"%d" % number) for number in range(1201)]
    with storage.writing() as stored:
        for task in tasks:
            stored.tasks.keep(task)
    with storage.reading() as stored:
        found = stored.tasks.contents([*(each.content_hash for each in tasks), "not there"])
    assert found == {f"{number:064}": b"%d" % number for number in range(1201)}


def test_a_page_and_its_learner_come_back(storage: SqlStorage) -> None:
    keep_page(storage)
    with storage.reading() as stored:
        assert stored.pages.get(PAGE.id) == PAGE
        assert stored.pages.get("no-such-page") is None
    assert storage.looks.learner(LEARNER.id) == LEARNER


def test_the_last_visit_of_a_learner_is_noted(storage: SqlStorage) -> None:
    keep_page(storage)
    later = NOON + timedelta(hours=5)
    with storage.writing() as stored:
        stored.learners.seen(LEARNER.id, later)
    assert storage.looks.learner(LEARNER.id) == replace(LEARNER, last_seen_at=later)


def test_an_attempt_comes_back_with_its_outcomes_in_order(storage: SqlStorage) -> None:
    keep_page(storage)
    with storage.writing() as stored:
        assert stored.attempts.record(ATTEMPT) == ATTEMPT
    with storage.reading() as stored:
        assert stored.attempts.get(ATTEMPT.id) == ATTEMPT
        assert stored.attempts.at_page(PAGE.id) == (ATTEMPT,)


def test_the_same_attempt_posted_again_gives_back_the_first(storage: SqlStorage) -> None:
    keep_page(storage)
    with storage.writing() as stored:
        stored.attempts.record(ATTEMPT)
    with storage.writing() as stored:
        again = stored.attempts.record(replace(ATTEMPT, id="attempt-2", marks=8, outcomes=()))
    assert again == ATTEMPT
    with storage.reading() as stored:
        assert stored.attempts.get("attempt-2") is None


def test_a_second_try_at_a_page_stands_beside_the_first(storage: SqlStorage) -> None:
    keep_page(storage)
    second = replace(ATTEMPT, id="attempt-2", number=2, submitted_at=ATTEMPT.submitted_at + timedelta(minutes=5))
    with storage.writing() as stored:
        stored.attempts.record(ATTEMPT)
        stored.attempts.record(second)
    with storage.reading() as stored:
        assert stored.attempts.at_page(PAGE.id) == (ATTEMPT, second)
        assert stored.attempts.latest_of(LEARNER.id, limit=1) == (second,)


def test_marks_add_up_by_objective(storage: SqlStorage) -> None:
    keep_page(storage)
    later = ATTEMPT.submitted_at + timedelta(days=1)
    with storage.writing() as stored:
        stored.attempts.record(ATTEMPT)
        stored.attempts.record(replace(ATTEMPT, id="attempt-2", number=2, submitted_at=later))
    with storage.reading() as stored:
        assert stored.attempts.objective_tallies(LEARNER.id) == (
            ObjectiveTally(objective_id="LO-01", decisions=2, marks=8, marks_available=8, last_practised_at=later),
            ObjectiveTally(objective_id="LO-02", decisions=2, marks=0, marks_available=8, last_practised_at=later),
        )
        assert stored.attempts.misconception_tallies(LEARNER.id) == (
            MisconceptionTally(misconception_id="M-02", times=2, last_shown_at=later),
        )
        assert stored.attempts.objective_tallies("somebody-else") == ()


def test_more_marks_than_available_are_refused(storage: SqlStorage) -> None:
    keep_page(storage)
    with pytest.raises(IntegrityError, match="marks_within_available"), storage.writing() as stored:
        stored.attempts.record(replace(ATTEMPT, marks=9))


def test_a_page_for_a_task_that_does_not_exist_is_refused(storage: SqlStorage) -> None:
    with pytest.raises(IntegrityError, match=r"(?i)foreign key"), storage.writing() as stored:
        stored.pages.add(replace(PAGE, learner_id=None))


def test_a_block_that_raises_leaves_nothing_behind(storage: SqlStorage) -> None:
    with pytest.raises(RuntimeError, match="power cut"), storage.writing() as stored:
        stored.tasks.keep(TASK)
        raise RuntimeError("power cut")
    with storage.reading() as stored:
        assert stored.tasks.get(TASK.content_hash) is None


def test_nothing_can_be_written_while_reading(storage: SqlStorage) -> None:
    with pytest.raises(DBAPIError, match=r"read-?only"), storage.reading() as stored:
        stored.tasks.keep(TASK)
