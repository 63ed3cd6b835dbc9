"""Hints cost a mark, tell where to look, and never which option is right."""

from __future__ import annotations

import json
import re

import pytest
from flask import Flask
from flask.testing import FlaskClient
from markupsafe import escape

from trainer.config import Settings
from trainer.domain.questions.making import make_question
from trainer.persistence.repositories import SqlStorage
from trainer.services.plan.hints import cost, earned
from trainer.services.scenarios import scenarios
from trainer.web.app import create_app
from trainer.web.practice.wired import practice
from trainer.web.wiring import Wiring

FAMILY = "voltage_at_the_electrode"


@pytest.fixture
def app(settings: Settings, storage: SqlStorage) -> Flask:
    seeds = iter(range(1, 10_000))
    made = create_app(settings, Wiring(storage=storage, new_seed=lambda: next(seeds)))
    made.config["WTF_CSRF_ENABLED"] = False
    return made


class Part:
    """A graded decision."""

    def __init__(self, name: str, marks: int) -> None:
        self.id, self.marks = name, marks


def test_a_hint_takes_one_mark_and_never_more_than_was_earned() -> None:
    parts = [Part("a", 4), Part("b", 0), Part("c", 2)]
    assert [earned(each, {"a", "b"}) for each in parts] == [3, 0, 2]
    assert cost(parts, {"a", "b"}) == 1
    assert cost(parts, ()) == 0


def house(client: FlaskClient) -> str:
    return str(client.post("/practise", data={"level": "2"}).location)


def hints_on(page: str) -> list[str]:
    return re.findall(r'name="hint" value="([^"]+)"', page)


def test_a_hint_on_a_decision_names_rules_and_papers_and_keeps_what_was_chosen(client: FlaskClient) -> None:
    address = house(client)
    page = client.get(address).text
    wanted = hints_on(page)[0]
    name, value = re.findall(r'type="radio"[^>]*name="(choice-[^"]+)" value="([^"]+)"', page)[0]
    told = client.post(address, data={"hint": wanted, name: value, "attempt": "1"})
    assert told.status_code == 200
    part = told.text.split('id="hints"')[1].split("</details>")[0]
    assert re.search(r'href="/rules/[A-Z]', part)
    assert wanted not in hints_on(told.text)
    assert f'name="{name}" value="{value}" checked' in told.text


def test_a_hint_says_nothing_of_the_options(client: FlaskClient, app: Flask) -> None:
    address = house(client)
    with app.app_context():
        opened = practice().open(address.rpartition("/")[2])
    assert opened is not None
    for decision in opened.task.decisions:
        client.post(address, data={"hint": decision.id})
    part = client.get(address).text.split('id="hints"')[1].split("</details>")[0]
    labels = {each.label for decision in opened.task.decisions for each in decision.options if len(each.label) > 6}
    assert {each for each in labels if str(escape(each)) in part} == set()


def test_the_hint_is_taken_off_the_attempt_and_off_its_objective(client: FlaskClient, app: Flask) -> None:
    form = {"kind": "question", "level": "2", "family": FAMILY}
    address = str(client.post("/practise", data=form).location)
    key = make_question(1, scenarios(), family=FAMILY).key.asks["question"]
    assert hints_on(client.get(address).text) == ["question"]
    client.post(address, data={"hint": "question"})
    result = str(client.post(address, data={"attempt": "1", "choice-question": key.model}).location)
    assert "Hints cost 1" in client.get(result).text
    with app.app_context():
        attempt = practice().attempt(address.rpartition("/")[2], result.rpartition("/")[2])
    assert attempt is not None
    assert attempt.marks == attempt.marks_available - 1
    assert [each.marks for each in attempt.outcomes] == [attempt.marks]
    # The rules gave everything: judging it again compares like with like.
    assert json.loads(attempt.grade_json)["marks"] == attempt.marks_available


def test_after_handing_in_there_are_no_hints_and_an_unknown_one_is_ignored(client: FlaskClient) -> None:
    form = {"kind": "question", "level": "2", "family": FAMILY}
    address = str(client.post("/practise", data=form).location)
    assert client.post(address, data={"hint": "nothing"}).status_code == 200
    result = str(client.post(address, data={"attempt": "1", "choice-question": "1 V"}).location)
    assert "Hints cost" not in client.get(result).text
    assert hints_on(client.get(address).text) == []


def test_a_hint_is_paid_from_another_device_and_with_a_cleared_cookie(client: FlaskClient, app: Flask) -> None:
    form = {"kind": "question", "level": "2", "family": FAMILY}
    address = str(client.post("/practise", data=form).location)
    key = make_question(1, scenarios(), family=FAMILY).key.asks["question"]
    client.post(address, data={"hint": "question"})
    other = app.test_client()
    assert hints_on(other.get(address).text) == []
    result = str(other.post(address, data={"attempt": "1", "choice-question": key.model}).location)
    assert "Hints cost 1" in other.get(result).text


def test_somebody_else_with_the_address_takes_no_hint_and_sees_none(client: FlaskClient, app: Flask) -> None:
    form = {"kind": "question", "level": "2", "family": FAMILY}
    address = str(client.post("/practise", data=form).location)
    other = app.test_client()
    assert hints_on(other.get(address).text) == []
    other.post(address, data={"hint": "question"})
    assert hints_on(client.get(address).text) == ["question"]
    client.post(address, data={"hint": "question"})
    assert 'id="hints"' not in other.get(address).text
