"""The plan as a learner meets it, without an account."""

from __future__ import annotations

import json
import re
from datetime import datetime, timedelta

import pytest
from flask import Flask
from flask.testing import FlaskClient
from markupsafe import escape
from sqlalchemy import func, select

from tests.web.conftest import NOON
from tests.web.test_words import SAME_IN_EVERY_LANGUAGE, left_outside, pseudo_language
from trainer.config import Settings
from trainer.domain.questions.families import ALL_FAMILIES
from trainer.domain.questions.making import make_question
from trainer.persistence.models import AttemptRow, OutcomeRow
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.operation import AuditRow
from trainer.persistence.tables.plan import ObjectiveStandingRow, ScheduleCardRow, ScheduleReviewRow
from trainer.services.objectives import objectives
from trainer.services.scenarios import scenarios
from trainer.web.app import create_app
from trainer.web.wiring import Wiring

__all__ = ["pseudo_language"]
FAMILY = "leakage_left_to_use"


class Clock:
    """A clock in the test's hand."""

    def __init__(self) -> None:
        self.now = NOON

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def app(settings: Settings, storage: SqlStorage, clock: Clock) -> Flask:
    seeds = iter(range(1, 10_000))
    made = create_app(settings, Wiring(storage=storage, now=clock, new_seed=lambda: next(seeds)))
    made.config["WTF_CSRF_ENABLED"] = False
    return made


def begun(client: FlaskClient, **form: str) -> str:
    """The address of the page of a task that was taken."""
    answer = client.post("/plan/take", data=form)
    assert answer.status_code == 303, answer.text
    return str(answer.location)


def answered(client: FlaskClient, address: str, answer: str, sure: str = "") -> str:
    """The address of the result of a question with a number."""
    form = {"attempt": "1", "choice-question": answer, "sure-question": sure}
    given = client.post(address, data=form)
    assert given.status_code == 303, given.text
    return str(given.location)


def question(client: FlaskClient) -> str:
    """The address of the first question of a family."""
    form = {"kind": "question", "level": "2", "family": FAMILY}
    return str(client.post("/practise", data=form).location)


def right(seed: int) -> str:
    return make_question(seed, scenarios(), family=FAMILY).key.asks["question"].model


def test_who_comes_for_the_first_time_is_offered_what_most_turns_on(client: FlaskClient) -> None:
    assert objectives()["LO01"] in client.get("/practise").text
    assert "New to you" in client.get("/plan").text


def test_a_right_answer_is_due_two_days_later_and_not_before(client: FlaskClient, clock: Clock) -> None:
    """The first interval of the scheduler for good is 2 days."""
    answered(client, question(client), right(1))
    assert "Due now" not in client.get("/plan").text
    clock.now = NOON + timedelta(days=1, hours=23)
    assert "Due now" not in client.get("/plan").text
    clock.now = NOON + timedelta(days=2)
    page = client.get("/plan").text
    assert "Due now" in page
    assert escape(objectives()["LO04"]) in page
    assert "reckoned at 9" in page


def test_a_wrong_answer_is_offered_again_at_once(client: FlaskClient) -> None:
    answered(client, question(client), "999 mA")
    page = client.get("/progress").text
    assert escape(objectives()["LO04"]) in page
    assert "Missed the last time" in page


def test_the_same_answer_moves_its_card_once(client: FlaskClient, storage: SqlStorage) -> None:
    address = question(client)
    answered(client, address, right(1))
    for _ in range(3):
        client.get("/plan")
    client.post(address, data={"attempt": "2", "choice-question": "1 mA"})
    client.get("/plan")
    with storage.database.reading() as session:
        assert session.scalar(select(func.count()).select_from(ScheduleReviewRow)) == 1
        card = session.scalars(select(ScheduleCardRow)).one()
        sums = session.scalars(select(ObjectiveStandingRow)).one()
    assert card.reviews == 1
    assert (sums.decisions, sums.marks) == (1, sums.marks_available)


def test_the_plan_is_the_same_whether_it_is_opened_after_each_answer_or_at_the_end(
    app: Flask, clock: Clock, storage: SqlStorage
) -> None:
    states = []
    for opens in (True, False):
        clock.now = NOON
        client = app.test_client()
        for answer in ("999 mA", "1 mA", "2 mA"):
            answered(client, question(client), answer)
            clock.now += timedelta(days=1)
            if opens:
                client.get("/plan")
        client.get("/plan")
        with storage.database.reading() as session:
            rows = session.scalars(select(ScheduleCardRow).order_by(ScheduleCardRow.objective_id)).all()
            states.append({(row.objective_id, row.state_json, row.due_at) for row in rows})
    assert states[0] == states[1]


def test_a_task_that_was_begun_is_found_again_until_it_is_handed_in(client: FlaskClient) -> None:
    address = question(client)
    assert address in client.get("/practise").text
    answered(client, address, "1 mA")
    assert "Begun and not handed in" not in client.get("/practise").text


def test_a_set_goes_through_its_tasks_and_ends_at_the_progress(client: FlaskClient) -> None:
    address = begun(client, kind="question", objective="LO04", length="3")
    for number in (1, 2, 3):
        assert f"Task {number} of 3" in client.get(address).text
        answer = client.post("/plan/next")
        address = str(answer.location)
    assert address == "/progress"
    assert "Task " not in client.get(question(client)).text.split("<h1>")[1].split("</main>")[0]


def test_a_set_can_be_left_and_is_found_again_from_the_start(client: FlaskClient) -> None:
    begun(client, kind="question", objective="LO04", length="5")
    assert "A set is under way" in client.get("/practise").text
    client.post("/plan/leave")
    assert "A set is under way" not in client.get("/practise").text


def test_the_objective_that_was_chosen_is_exercised(client: FlaskClient) -> None:
    for objective, kind, level in (("LO21", "question", "1"), ("LO02", "choose", "2")):
        address = begun(client, kind=kind, objective=objective, level=level)
        assert client.get(address).status_code == 200


def test_what_cannot_be_met_is_said_with_what_can(client: FlaskClient) -> None:
    answer = client.post("/plan/take", data={"kind": "choose", "objective": "LO28", "level": "1"})
    assert answer.status_code in (400, 404, 422)
    assert "LO28" in answer.text


@pytest.mark.parametrize("form", [{"length": "4"}, {"objective": "LO99"}, {"kind": "juggle"}, {"level": "9"}])
def test_a_form_that_nobody_was_given_is_refused(client: FlaskClient, form: dict[str, str]) -> None:
    assert client.post("/plan/take", data=form).status_code == 404


def test_the_record_holds_every_answer_with_the_way_to_its_explanation(client: FlaskClient) -> None:
    results = [answered(client, question(client), "1 mA") for _ in range(27)]
    first, second = client.get("/plan/record").text, client.get("/plan/record?page=2").text
    assert {each for each in results if each in first + second} == set(results)
    assert "Page 1 of 2" in first
    assert client.get("/plan/record?page=3").status_code == 404


def test_the_copy_holds_everything_that_is_kept(client: FlaskClient) -> None:
    answered(client, question(client), "1 mA", "3")
    client.get("/plan")
    answer = client.get("/plan/data.json")
    practice = json.loads(answer.text)["practice"]
    assert {name: len(rows) for name, rows in practice.items()} == {
        "learner": 1,
        "tasks": 1,
        "attempts": 1,
        "decisions": 1,
        "not_handed_in": 0,
        "plan": 1,
        "reviews": 1,
        "standing": 1,
    }
    assert "attachment" in answer.headers["Content-Disposition"]
    assert client.application.test_client().get("/plan/data.json").status_code == 404


def test_deletion_takes_the_plan_and_the_name_and_leaves_figures_and_log(
    client: FlaskClient, storage: SqlStorage
) -> None:
    answered(client, question(client), "1 mA")
    client.get("/plan")
    assert client.post("/plan/data").status_code == 400
    assert client.post("/plan/data", data={"sure": "yes"}).status_code == 303
    with storage.database.reading() as session:
        assert session.scalar(select(func.count()).select_from(ScheduleCardRow)) == 0
        assert session.scalars(select(AttemptRow)).one().learner_id is None
        assert session.scalars(select(OutcomeRow)).one().learner_id is None
        assert session.scalars(select(AuditRow)).one().action == "practice.erased"
    assert "Nothing handed in yet" in client.get("/progress").text


@pytest.mark.usefixtures("pseudo_language")
def test_no_text_of_the_pages_stands_outside_the_catalogue(app: Flask) -> None:
    """What is left is content: objectives, families and premises by their names."""
    client = app.test_client()
    answered(client, question(client), "999 mA")
    begun(client, kind="question", objective="LO04", length="3")
    content = {*objectives().values(), *objectives(), *(each.title for each in ALL_FAMILIES), "UTC", "LO"}
    plain = {" ".join(SAME_IN_EVERY_LANGUAGE.sub(" ", each).split()) for each in content}
    for address in ("/practise", "/progress", "/plan", "/plan/record", "/plan/shortcuts", "/plan/data"):
        page = client.get(address)
        assert page.status_code == 200, address
        # Names of months come from the library that writes dates.
        undated = re.sub(r"<time.*?</time>", "", page.text)
        left = {each for each in left_outside(undated) if each not in plain}
        assert left - set("dpchn") == set(), address
