"""Work that is not handed in: kept once for each page, copied to its learner and gone when the learner is erased."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta

import pytest

from trainer.persistence.privacy.repositories import privacy_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.works import work_repositories
from trainer.services.practice.work import NOTHING, Working
from trainer.services.privacy.words import Kept
from trainer.services.storage import LearnerRecord, PageRecord, StoredTask

NOON = datetime(2026, 11, 2, 12, 0, tzinfo=UTC)


@pytest.fixture
def working(storage: SqlStorage) -> Working:
    task = StoredTask(
        content_hash="hash", content=b"{}", seed=1, generator_version="1", rule_set_version="1", edition="A4:2026",
        kind="choose", level=1, archetype="by hand", created_at=NOON,
    )  # fmt: skip
    with storage.writing() as stored:
        stored.tasks.keep(task)
        for name in ("one", "two"):
            stored.learners.add(LearnerRecord(id=name, created_at=NOON, last_seen_at=NOON))
            stored.pages.add(PageRecord(id=f"page-{name}", content_hash="hash", learner_id=name, created_at=NOON))
    return Working(storage=storage.scopes(work_repositories), looks=storage.looks, now=lambda: NOON)


def test_a_page_where_nothing_was_done_has_no_work(working: Working) -> None:
    working.hand_in("page-one", 1)
    assert working.at("page-one") == NOTHING


def test_hints_stay_taken_and_marks_come_and_go(working: Working) -> None:
    working.take_hint("page-one", "a")
    working.take_hint("page-one", "a")
    working.mark("page-one", "s1.r1", on=True)
    working.mark("page-one", "s1.n2", on=True)
    working.mark("page-one", "s1.r1", on=False)
    assert working.at("page-one").hinted == ("a",)
    assert working.at("page-one").marked == ("s1.n2",)
    assert working.at("page-two") == NOTHING


def test_handing_in_keeps_what_was_marked_then_and_clears_the_draft(working: Working) -> None:
    working.mark("page-one", "s1.r1", on=True)
    working.draft("page-one", {"d": "A"}, {"d": 3})
    assert working.at("page-one").answers == {"d": "A"}
    assert working.at("page-one").certainty == {"d": 3}
    working.hand_in("page-one", 1)
    working.mark("page-one", "s1.r2", on=True)
    working.hand_in("page-one", 1)
    work = working.at("page-one")
    assert work.handed_in == {1: ("s1.r1",)}
    assert work.marked == ("s1.r1", "s1.r2")
    assert work.answers == {}


def test_two_devices_that_mark_at_once_lose_nothing(working: Working) -> None:
    lines = [f"s1.r{number}" for number in range(1, 13)]
    with ThreadPoolExecutor(4) as devices:
        list(devices.map(lambda line: working.mark("page-one", line, on=True), lines))
    assert sorted(working.at("page-one").marked) == sorted(lines)


def test_the_copy_of_a_learner_holds_the_work_and_erasing_takes_it_away(storage: SqlStorage, working: Working) -> None:
    working.mark("page-one", "s1.r1", on=True)
    working.mark("page-two", "s1.r1", on=True)
    with storage.scopes(privacy_repositories).writing() as stored:
        copied = json.loads(stored.copies.practice("one")["not_handed_in"].text)
        assert [(row["id"], row["work"]["marked"]) for row in copied] == [("page-one", ["s1.r1"])]
        stored.eraser.practice("one")
    assert working.at("page-one") == NOTHING
    assert working.at("page-two").marked == ("s1.r1",)


def test_work_is_not_cleared_away_with_finished_jobs(storage: SqlStorage, working: Working) -> None:
    working.take_hint("page-one", "a")
    with storage.scopes(privacy_repositories).writing() as stored:
        assert stored.shelves.old(Kept.JOBS, NOON + timedelta(days=4000), "", 10) == ()
        assert stored.shelves.clear(Kept.JOBS, NOON + timedelta(days=4000), "", ["page-one"]) == 0
    assert working.at("page-one").hinted == ("a",)
