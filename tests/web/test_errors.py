"""Errors in plain words."""

from __future__ import annotations

import sqlite3

import psycopg
import pytest
from flask import Flask, request
from flask.testing import FlaskClient
from sqlalchemy.exc import OperationalError

from trainer.domain.errors import Problem, TrainerError


def test_an_address_that_does_not_exist_leads_back_to_the_first_page(client: FlaskClient) -> None:
    answer = client.get("/no-such-page")
    assert answer.status_code == 404
    assert "There is no such page" in answer.text
    assert 'href="/"' in answer.text


def test_a_visit_in_the_wrong_way_is_answered_in_words(app: Flask) -> None:
    answer = app.test_client().open("/about", method="DELETE")
    assert answer.status_code in {400, 405}
    assert "<h1>" in answer.text


def test_an_input_that_cannot_be_used_is_told_with_place_value_and_what_is_possible(app: Flask) -> None:
    @app.get("/bad-input")
    def bad_input() -> str:
        raise TrainerError(
            Problem(path="level", value="9<b>", problem="unknown level", possible=("1", "2")),
            Problem(path="seed", value=-1, problem="must be 0 or more", nearest="0"),
        )

    answer = app.test_client().get("/bad-input")
    assert answer.status_code == 400
    for told in ("level", "unknown level", "9&lt;b&gt;", "1, 2", "seed", "must be 0 or more", "-1"):
        assert told in answer.text
    assert "9<b>" not in answer.text


def test_a_failure_of_the_program_shows_no_trace(app: Flask, caplog: pytest.LogCaptureFixture) -> None:
    @app.get("/fails")
    def fails() -> str:
        raise ZeroDivisionError("inner detail")

    answer = app.test_client().get("/fails")
    assert answer.status_code == 500
    assert "Something went wrong here" in answer.text
    assert "inner detail" not in answer.text
    assert "Traceback" not in answer.text
    assert "ZeroDivisionError" in caplog.text


def test_a_body_larger_than_any_form_is_refused(app: Flask) -> None:
    @app.post("/large")
    def large() -> str:
        return str(len(request.form))

    app.config["WTF_CSRF_ENABLED"] = False
    answer = app.test_client().post("/large", data={"answer": "x" * 300_000})
    assert answer.status_code == 413
    assert "Too large" in answer.text


def of_sqlite(code: int) -> OperationalError:
    error = sqlite3.OperationalError("as the driver says it")
    error.sqlite_errorcode = code
    return OperationalError("INSERT", {}, error)


# Codes: sqlite.org, rescode.html; postgresql.org, errcodes-appendix.
# Statuses: RFC 4918, 11.5 (507); RFC 9110, 15.6.4 (503).
@pytest.mark.parametrize(
    ("error", "status", "told"),
    [
        (of_sqlite(13), 507, "Not saved: there is no room left"),
        (of_sqlite(4874), 507, "Not saved: there is no room left"),
        (OperationalError("INSERT", {}, psycopg.errors.DiskFull()), 507, "Not saved: there is no room left"),
        (of_sqlite(5), 503, "Take what you just sent as not saved"),
        (of_sqlite(10), 503, "Take what you just sent as not saved"),
        (OperationalError("COMMIT", {}, psycopg.errors.AdminShutdown()), 503, "Take what you just sent as not saved"),
        (OperationalError("INSERT", {}, psycopg.OperationalError("connection refused")), 503, "as not saved"),
        (of_sqlite(1), 500, "Something went wrong here"),
        (OperationalError("INSERT", {}, psycopg.errors.UndefinedTable()), 500, "Something went wrong here"),
    ],
)
def test_a_database_without_room_or_out_of_reach_says_what_became_of_what_was_sent(
    app: Flask, error: OperationalError, status: int, told: str
) -> None:
    @app.post("/keeps")
    def keeps() -> str:
        raise error

    app.config["WTF_CSRF_ENABLED"] = False
    answer = app.test_client().post("/keeps")
    assert answer.status_code == status
    assert told in " ".join(answer.text.split())
    assert "as the driver says it" not in answer.text
    assert ("Retry-After" in answer.headers) == (status != 500)


def test_a_database_that_fails_under_a_page_of_error_is_told_as_such(app: Flask) -> None:
    """Also where the driver raises while a connection is made, which the library hands on as it is."""

    @app.after_request
    def fails(_response: object) -> None:
        error = sqlite3.OperationalError("as the driver says it")
        error.sqlite_errorcode = 13
        raise error

    answer = app.test_client().get("/no-such-page")
    assert answer.status_code == 507
    assert "Nothing can be saved" in answer.text


def test_a_page_that_was_only_looked_at_speaks_of_no_sending(app: Flask) -> None:
    @app.get("/reads")
    def reads() -> str:
        raise of_sqlite(13)

    answer = app.test_client().get("/reads")
    assert answer.status_code == 507
    assert "Not saved" not in answer.text


@pytest.mark.parametrize("address", ["/rules/XX", "/rules/rcd-99", "/notes/LO99"])
def test_an_unknown_name_in_an_address_is_not_found(client: FlaskClient, address: str) -> None:
    """RFC 9110, 15.5.5: 404 where the address leads nowhere."""
    answer = client.get(address)
    assert answer.status_code == 404


def test_an_unknown_rule_is_told_with_what_is_possible(client: FlaskClient) -> None:
    answer = client.get("/rules/RCD-77")
    for told in ("There is no such page", "unknown rule", "RCD-77", "Nearest"):
        assert told in answer.text


@pytest.mark.parametrize("address", ["/", "/about", "/no-such-page"])
def test_the_caution_stands_on_every_page(client: FlaskClient, address: str) -> None:
    words = " ".join(client.get(address).text.split())
    assert "not a design, inspection or certification tool" in words
    assert "prove dead at the point of work with a proved tester" in words
