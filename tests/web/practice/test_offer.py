"""What is offered next follows from first tries; what was tried again shows nothing new."""

from __future__ import annotations

import itertools
from dataclasses import replace
from datetime import timedelta

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.web.conftest import NOON
from tests.web.practice.conftest import hand_made_task
from trainer.domain.tasks import Task
from trainer.services.practice.tasks import Practice
from trainer.services.storage import LearnerRecord

GOOD, POOR = ("B", "B"), ("AC", "AC")


@pytest.fixture
def made(app: Flask, by_hand: Task) -> Practice:
    """Practice in which a task has the level that was asked for."""
    known = app.extensions["trainer.practice"]
    minutes = itertools.count()
    practice = replace(
        known,
        make=lambda request: (replace(hand_made_task(), level=request.level), None),
        now=lambda: NOON + timedelta(minutes=next(minutes)),
    )
    app.extensions["trainer.practice"] = practice
    return practice


def tried(practice: Practice, level: int, choices: tuple[str, str]) -> None:
    opened = practice.open(practice.begin(level, "someone"))
    assert opened is not None
    answers = {each.id: choice for each, choice in zip(opened.task.decisions, choices, strict=True)}
    practice.hand_in(opened, 1, answers, {}, "someone")


@pytest.fixture
def someone(made: Practice) -> Practice:
    now = made.now()
    with made.storage.writing() as stored:
        stored.learners.add(LearnerRecord(id="someone", created_at=now, last_seen_at=now))
    return made


def test_a_newcomer_is_offered_the_lowest_level(someone: Practice) -> None:
    assert someone.offered_level(None) == 1
    assert someone.offered_level("someone") == 1


@pytest.mark.parametrize(
    ("history", "offered"),
    [
        ([(2, GOOD)], 2),
        ([(2, GOOD), (2, GOOD)], 3),
        ([(2, GOOD), (2, POOR)], 2),
        ([(2, POOR), (2, POOR)], 1),
        ([(4, GOOD), (4, GOOD)], 5),
        ([(5, GOOD), (5, GOOD)], 5),
        ([(1, POOR), (1, POOR)], 1),
        ([(1, GOOD), (1, GOOD), (2, GOOD)], 2),
    ],
)
def test_two_first_tries_at_a_level_decide(
    someone: Practice, history: list[tuple[int, tuple[str, str]]], offered: int
) -> None:
    for level, choices in history:
        tried(someone, level, choices)
    assert someone.offered_level("someone") == offered


def test_trying_again_counts_neither_for_the_offer_nor_for_an_objective(someone: Practice) -> None:
    tried(someone, 2, POOR)
    before = someone.progress("someone").objectives
    tried_again = someone.progress("someone").latest[0].page_id
    for _ in range(2):
        opened = someone.open(tried_again)
        assert opened is not None
        answers = {each.id: "B" for each in opened.task.decisions}
        someone.hand_in(opened, len(opened.attempts) + 1, answers, {}, "someone")
    assert someone.progress("someone").objectives == before
    assert someone.offered_level("someone") == 2


def test_what_was_just_missed_is_named_on_the_progress_page_as_the_next(client: FlaskClient, made: Practice) -> None:
    address = client.post("/practise", data={"level": "3"}).location
    page = client.get(address).text
    names = [part.split('"')[0] for part in page.split('name="choice-')[1:]]
    answers = {f"choice-{name}": "AC" for name in dict.fromkeys(names)}
    client.post(address, data={**answers, "attempt": "1"})
    progress = client.get("/progress").text
    assert "What to do next" in progress
    assert "Missed the last time" in progress


def test_what_is_offered_is_what_begins(client: FlaskClient, made: Practice) -> None:
    address = client.post("/practise", data={}).location
    page = client.get(address).text
    assert "<dd>1</dd>" in page
