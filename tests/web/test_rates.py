"""Making tasks is limited: generously for a class behind one address, and together over all ways to make one."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from flask import Flask, Response
from flask.testing import FlaskClient

from tests.web.conftest import NOON
from tests.web.people.conftest import token_in
from trainer.config import NEW_TASKS_PER_MINUTE, Settings, settings_from
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.schema import upgrade
from trainer.web import guard
from trainer.web.access import Ask
from trainer.web.app import create_app
from trainer.web.plan.hints import HINT
from trainer.web.practice.forms import SHOW
from trainer.web.practice.keeping import MARK, UNMARK
from trainer.web.rates import COSTLY, KEEPS, MAKES_TASKS, _went_wrong
from trainer.web.wiring import Wiring


class Clock:
    now = NOON

    def __call__(self):
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def limited(settings: Settings, storage: SqlStorage, clock: Clock) -> Flask:
    upgrade(storage.database)
    return create_app(replace(settings, new_tasks_per_minute=6), Wiring(storage=storage, now=clock))


def visitor(app: Flask, address: str = "192.0.2.1") -> FlaskClient:
    client = app.test_client()
    client.environ_base["REMOTE_ADDR"] = address
    return client


def question(client: FlaskClient) -> int:
    token = token_in(client.get("/practise").text)
    return client.post("/practise", data={"kind": "question", "level": "1", "csrf_token": token}).status_code


def test_many_browsers_behind_one_address_are_counted_together(limited: Flask) -> None:
    assert [question(visitor(limited)) for _ in range(7)] == [303] * 6 + [429]


def test_another_address_is_not_kept_out(limited: Flask) -> None:
    for _ in range(7):
        question(visitor(limited))
    assert question(visitor(limited, "192.0.2.2")) == 303


def test_after_a_minute_it_goes_on(limited: Flask, clock: Clock) -> None:
    for _ in range(7):
        question(visitor(limited))
    clock.now += timedelta(seconds=61)
    assert question(visitor(limited)) == 303


def test_all_ways_to_make_a_task_are_counted_together(limited: Flask) -> None:
    client = visitor(limited)
    token = token_in(client.get("/practise").text)
    for _ in range(6):
        assert question(client) == 303
    tries = (("/plan/take", {}), ("/rules/RCD-01/practise", {}), ("/practise", {"level": "1"}))
    for path, fields in tries:
        answer = client.post(path, data={**fields, "csrf_token": token})
        assert answer.status_code == 429, path
        assert "Wait a minute" in answer.text


def test_looking_at_pages_is_never_limited(limited: Flask) -> None:
    client = visitor(limited)
    for _ in range(8):
        question(client)
    assert {client.get(path).status_code for path in ("/practise", "/rules", "/waveform", "/plan")} == {200}


def test_a_class_of_thirty_behind_one_address_notices_nothing(settings: Settings, storage: SqlStorage) -> None:
    """Thirty browsers, four short tasks each within one minute: what the default allows by hand calculation."""
    upgrade(storage.database)
    app = create_app(settings, Wiring(storage=storage, now=lambda: NOON))
    browsers = [visitor(app) for _ in range(30)]
    assert {question(each) for _ in range(4) for each in browsers} == {303}
    assert NEW_TASKS_PER_MINUTE == 30 * 4


def test_a_failure_of_the_server_is_not_counted_as_a_wrong_try(settings: Settings, storage: SqlStorage) -> None:
    """RFC 9110, 15.6: 5xx says that the server failed, not whoever asked."""
    upgrade(storage.database)
    app = create_app(settings, Wiring(storage=storage, now=lambda: NOON))
    with app.test_request_context("/sign-in", method="POST"):
        assert [_went_wrong(Response(status=status)) for status in (303, 400, 429, 500, 503, 507)] == [
            False, True, True, False, False, False,
        ]  # fmt: skip


def test_trying_values_is_limited_and_the_bare_page_is_not(limited: Flask, clock: Clock) -> None:
    """A seed draws a house and a row of values judges it many times, by an address that anybody may open."""
    asked = "/try?seed=7&level=1"
    assert [visitor(limited).get(asked).status_code for _ in range(8)] == [200] * 6 + [429] * 2
    assert "Wait a minute" in visitor(limited).get(asked).text
    assert visitor(limited).get("/try").status_code == 200
    assert visitor(limited, "192.0.2.2").get(asked).status_code == 200
    client = visitor(limited, "192.0.2.3")
    token = token_in(client.get("/practise").text)
    sent = [client.post("/try", data={"seed": "7", "csrf_token": token}).status_code for _ in range(7)]
    assert sent == [200] * 6 + [429]
    clock.now += timedelta(seconds=61)
    assert visitor(limited).get(asked).status_code == 200


def test_handing_in_is_limited_and_keeping_is_not(limited: Flask) -> None:
    """Whoever has the address of a task may hand in at it, each time as somebody new."""
    client = visitor(limited)
    token = token_in(client.get("/practise").text)
    made = client.post("/practise", data={"kind": "question", "level": "1", "csrf_token": token})
    page, answers = made.headers["Location"], []
    for _ in range(26):
        stranger = visitor(limited, "192.0.2.9")
        own = token_in(stranger.get("/practise").text)
        answers.append(stranger.post(page, data={"csrf_token": own}).status_code)
    assert answers == [400] * 24 + [429] * 2
    kept = {client.post(page, data={"csrf_token": token, "show": "kept"}).status_code for _ in range(30)}
    assert kept == {200}


def test_what_is_kept_is_told_by_the_fields_of_the_form() -> None:
    assert set(KEEPS) == {HINT, MARK, UNMARK, SHOW}


def test_zero_sets_no_limit(settings: Settings, storage: SqlStorage) -> None:
    upgrade(storage.database)
    app = create_app(replace(settings, new_tasks_per_minute=0), Wiring(storage=storage, now=lambda: NOON))
    client = visitor(app)
    assert {question(client) for _ in range(NEW_TASKS_PER_MINUTE + 1)} == {303}


def test_the_limit_is_a_setting(settings: Settings) -> None:
    assert settings_from({"TRAINER_NEW_TASKS": "40"}, data_folder=settings.data_folder).new_tasks_per_minute == 40
    assert settings_from({}, data_folder=settings.data_folder).new_tasks_per_minute == NEW_TASKS_PER_MINUTE


# Open to everybody, and draws no house: ending a set, forms with limits of their own, a job of which there
# is one for each person, and only so many wait.
DRAWS_NOTHING = {
    "files.ask_results", "health", "people",
    "plan.erase", "plan.leave_set", "records",
}  # fmt: skip


def test_every_open_form_is_limited_or_known_to_draw_nothing(app: Flask) -> None:
    table = guard.table_of(app)
    forms = {rule.endpoint for rule in app.url_map.iter_rules() if "POST" in (rule.methods or ())}
    asked = {each for each in forms if table[each].ask is Ask.NOTHING}
    left = {each for each in asked if not DRAWS_NOTHING & {each, each.partition(".")[0]}}
    assert left == {*MAKES_TASKS, *COSTLY}


def test_no_limit_complains_of_what_it_leaves_out(limited: Flask, caplog: pytest.LogCaptureFixture) -> None:
    """The library calls a limit without a key an error, once for each request."""
    client = visitor(limited)
    for path in ("/try", "/account/new", "/join", "/practise"):
        client.get(path)
    assert [record for record in caplog.records if record.name.startswith("flask-limiter")] == []
