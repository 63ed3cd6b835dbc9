"""Attempts judged again are kept beside what they were given first."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from sqlalchemy import event, text
from sqlalchemy.exc import IntegrityError

from tests.persistence.records import ATTEMPT, NOON, TASK, keep_page
from trainer.persistence.attempts import SqlAttempts
from trainer.persistence.database import Database
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.schema import downgrade, upgrade
from trainer.persistence.types import DamagedContentError
from trainer.services.storage import AttemptPlace, RegradingRecord

AGAIN = RegradingRecord(
    attempt_id=ATTEMPT.id,
    rule_set_version="1.ba9876543210",
    edition="A4:2026",
    grade_json=b'{"marks":8}',
    marks=8,
    marks_available=8,
    safe_to_energise=True,
    reason="the limit was entered wrongly",
    regraded_at=NOON + timedelta(days=3),
)


FIRST = AttemptPlace(page_id="page-1", number=1, attempt_id=ATTEMPT.id, rule_set_versions=(ATTEMPT.rule_set_version,))


def keep_attempts(storage: SqlStorage, *, pages: int = 1, tries: int = 1) -> list[str]:
    """Ids of attempts, by page and number."""
    keep_page(storage, number_of_pages=pages)
    ids = []
    with storage.writing() as stored:
        for page in range(1, pages + 1):
            for number in range(1, tries + 1):
                attempt_id = ATTEMPT.id if page == number == 1 else f"attempt-{page}-{number}"
                stored.attempts.record(replace(ATTEMPT, id=attempt_id, page_id=f"page-{page}", number=number))
                ids.append(attempt_id)
    return ids


def test_a_regrading_comes_back_and_the_attempt_stays_as_it_was(storage: SqlStorage) -> None:
    keep_attempts(storage)
    with storage.writing() as stored:
        assert stored.regradings.record(AGAIN) == AGAIN
    with storage.reading() as stored:
        assert stored.regradings.of([ATTEMPT.id, "no-such-attempt"]) == {ATTEMPT.id: [AGAIN]}
        assert stored.attempts.get(ATTEMPT.id) == ATTEMPT


def test_the_same_regrading_sent_again_gives_back_the_first(storage: SqlStorage) -> None:
    keep_attempts(storage)
    with storage.writing() as stored:
        stored.regradings.record(AGAIN)
    with storage.writing() as stored:
        assert stored.regradings.record(replace(AGAIN, reason="another reason", marks=0)) == AGAIN


def test_regradings_of_one_attempt_stand_in_the_order_of_time(storage: SqlStorage) -> None:
    keep_attempts(storage)
    later = replace(AGAIN, rule_set_version="1.000000000000", regraded_at=AGAIN.regraded_at + timedelta(days=1))
    with storage.writing() as stored:
        stored.regradings.record(later)
        stored.regradings.record(AGAIN)
    with storage.reading() as stored:
        assert stored.regradings.of([ATTEMPT.id])[ATTEMPT.id] == [AGAIN, later]


def test_a_regrading_of_no_attempt_or_with_too_many_marks_is_refused(storage: SqlStorage) -> None:
    keep_attempts(storage)
    with pytest.raises(IntegrityError, match=r"(?i)foreign key"), storage.writing() as stored:
        stored.regradings.record(replace(AGAIN, attempt_id="no-such-attempt"))
    with pytest.raises(IntegrityError, match="marks_within_available"), storage.writing() as stored:
        stored.regradings.record(replace(AGAIN, marks=9))


@pytest.mark.parametrize("limit", [1, 2, 3, 100])
def test_all_attempts_are_gone_through_a_few_at_a_time_each_once(storage: SqlStorage, limit: int) -> None:
    ids = keep_attempts(storage, pages=3, tries=2)
    seen: list[str] = []
    place = None
    with storage.reading() as stored:
        assert stored.attempts.count() == len(ids)
        while batch := stored.attempts.after(place, limit=limit):
            assert len(batch) <= limit
            seen += [each.attempt_id for each in batch]
            place = batch[-1]
    assert seen == ids


@pytest.mark.only("sqlite")
def test_going_on_from_an_attempt_searches_the_index_and_sorts_nothing(database: Database) -> None:
    """sqlite.org/eqp.html: a sort shows as USE TEMP B-TREE, going straight to a place as SEARCH."""
    asked: list[str] = []
    with database.reading() as session:
        event.listen(session.get_bind(), "before_cursor_execute", lambda *told: asked.append(told[2]))
        SqlAttempts(session).after(FIRST, limit=9)
        plan = session.connection().exec_driver_sql(f"EXPLAIN QUERY PLAN {asked[0]}", ("page-1", 1, 9, 0)).all()
    steps = [row[3] for row in plan]
    assert len(steps) == 1
    assert steps[0].startswith("SEARCH")
    assert "(page_id,number)>(?,?)" in steps[0]


def test_the_place_of_an_attempt_tells_every_rule_set_that_judged_it(storage: SqlStorage) -> None:
    keep_attempts(storage)
    with storage.writing() as stored:
        stored.regradings.record(AGAIN)
    with storage.reading() as stored:
        both = (ATTEMPT.rule_set_version, AGAIN.rule_set_version)
        assert stored.attempts.after(None, limit=9) == (replace(FIRST, rule_set_versions=both),)


def test_content_that_was_damaged_is_told_and_not_a_trace(storage: SqlStorage, database: Database) -> None:
    keep_attempts(storage)
    with database.writing() as session:
        session.execute(text("UPDATE task SET content = 'rubbish'"))
    with pytest.raises(DamagedContentError, match="cannot be unpacked"), storage.reading() as stored:
        stored.tasks.get(TASK.content_hash)


def test_what_was_stored_before_the_table_came_is_still_there_after_it(storage: SqlStorage, database: Database) -> None:
    downgrade(database, "0001")
    keep_attempts(storage)
    upgrade(database)
    with storage.reading() as stored:
        assert stored.attempts.get(ATTEMPT.id) == ATTEMPT
        assert stored.regradings.of([ATTEMPT.id]) == {}
