"""A learner without an account is known again by a signed cookie."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from flask import Flask
from sqlalchemy import event

from trainer.persistence.repositories import SqlStorage
from trainer.services.practice.learners import known_learner, learner_to_record_for
from trainer.web.learner import current_learner, learner_with_record

NOON = datetime(2026, 11, 2, 12, 0, tzinfo=UTC)


@pytest.fixture
def app_with_record(app: Flask) -> Flask:
    @app.get("/who")
    def who() -> str:
        learner = current_learner()
        return learner.id if learner else "nobody"

    @app.get("/record")
    def record() -> str:
        return learner_with_record().id

    return app


def test_looking_around_leaves_no_record_and_no_cookie(app_with_record: Flask) -> None:
    answer = app_with_record.test_client().get("/who")
    assert answer.text == "nobody"
    assert "Set-Cookie" not in answer.headers


def test_a_learner_with_a_record_is_known_again(app_with_record: Flask) -> None:
    client = app_with_record.test_client()
    learner = client.get("/record").text
    assert client.get("/who").text == learner
    assert client.get("/record").text == learner


def test_two_browsers_are_two_learners_with_ids_that_cannot_be_guessed(app_with_record: Flask) -> None:
    ids = {app_with_record.test_client().get("/record").text for _ in range(2)}
    assert len(ids) == 2
    # 128 bits take 22 characters of 6 bits each.
    assert all(len(learner) >= 22 for learner in ids)


def test_a_cookie_that_was_tampered_with_is_nobodys(app_with_record: Flask) -> None:
    client = app_with_record.test_client()
    client.get("/record")
    cookie = client.get_cookie("trainer")
    assert cookie is not None
    client.set_cookie("trainer", cookie.value[:-3] + "AAA")
    assert client.get("/who").text == "nobody"


def test_the_cookie_outlives_the_browser_window(app_with_record: Flask) -> None:
    cookie = app_with_record.test_client().get("/record").headers["Set-Cookie"]
    assert "Expires=" in cookie


def test_a_cookie_of_a_learner_who_was_erased_gets_a_new_record(storage: SqlStorage) -> None:
    learner = learner_to_record_for(storage, "erased", now=NOON, new_id=lambda: "new")
    assert learner.id == "new"
    assert known_learner(storage, "new") == learner


def test_a_visit_is_noted_twice_a_day_at_most(storage: SqlStorage) -> None:
    first = learner_to_record_for(storage, None, now=NOON, new_id=lambda: "somebody")
    writes: list[object] = []
    event.listen(storage._database._writers, "begin", writes.append)
    soon = learner_to_record_for(storage, first.id, now=NOON + timedelta(hours=11), new_id=lambda: "x")
    assert (soon, writes) == (first, [])
    later = learner_to_record_for(storage, first.id, now=NOON + timedelta(hours=13), new_id=lambda: "x")
    assert len(writes) == 1
    assert later.last_seen_at == NOON + timedelta(hours=13)
    assert known_learner(storage, first.id) == later
