"""How long a cookie lives, and when it is signed anew."""

from __future__ import annotations

import time
from datetime import timedelta

import pytest
from flask import Flask, session
from flask.testing import FlaskClient
from itsdangerous import BadSignature, TimestampSigner

DAY, YEAR = timedelta(days=1), timedelta(days=365)


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    @app.get("/begin")
    def begin() -> str:
        session["learner"], session.permanent = "somebody", True
        return "begun"

    @app.get("/change")
    def change() -> str:
        session["learner"] = "another"
        return "changed"

    @app.get("/who")
    def who() -> str:
        return str(session.get("learner"))

    client = app.test_client()
    client.get("/begin")
    return client


def aged(monkeypatch: pytest.MonkeyPatch, by: timedelta) -> None:
    """Lets the clock of the signatures run ahead."""
    later = int(time.time() + by.total_seconds())
    monkeypatch.setattr(TimestampSigner, "get_timestamp", lambda _: later)


def began_before(monkeypatch: pytest.MonkeyPatch, client: FlaskClient, by: timedelta) -> None:
    """Lets the cookie be one that was signed some time ago."""
    with monkeypatch.context() as then:
        aged(then, -by)
        client.get("/begin")


def is_signed_anew(client: FlaskClient, path: str = "/who") -> bool:
    return "Set-Cookie" in client.get(path).headers


def test_a_cookie_is_signed_anew_by_a_page_when_a_day_has_passed(
    monkeypatch: pytest.MonkeyPatch, client: FlaskClient
) -> None:
    began_before(monkeypatch, client, DAY + timedelta(minutes=1))
    assert is_signed_anew(client)
    # Now it is fresh.
    assert not is_signed_anew(client)


def test_within_a_day_it_stays_as_it_is(monkeypatch: pytest.MonkeyPatch, client: FlaskClient) -> None:
    began_before(monkeypatch, client, DAY - timedelta(minutes=1))
    assert not is_signed_anew(client)
    assert client.get("/who").text == "somebody"


def test_what_changes_in_it_is_always_signed(client: FlaskClient) -> None:
    assert is_signed_anew(client, "/change")
    assert client.get("/who").text == "another"


def test_a_file_never_carries_it(monkeypatch: pytest.MonkeyPatch, client: FlaskClient) -> None:
    began_before(monkeypatch, client, 2 * DAY)
    with client.get("/static/mark.svg") as answer:
        assert (answer.status_code, "Set-Cookie" in answer.headers) == (200, False)


def test_whoever_comes_back_within_a_year_is_known_and_after_a_year_is_not(
    monkeypatch: pytest.MonkeyPatch, client: FlaskClient
) -> None:
    aged(monkeypatch, YEAR - DAY)
    assert client.get("/who").text == "somebody"
    aged(monkeypatch, YEAR + DAY)
    assert client.get("/who").text == "None"


def test_a_change_of_the_secret_ends_what_was_signed_before_unless_the_old_one_is_kept(app: Flask) -> None:
    """What signs is made once; it must not outlive the secret. Flask, SECRET_KEY_FALLBACKS: old keys only read."""
    sessions, old = app.session_interface, app.secret_key
    signer = sessions.get_signing_serializer(app)
    assert sessions.get_signing_serializer(app) is signer
    cookie = signer.dumps({"a": 1})
    app.secret_key = "another secret that is used in tests only"
    with pytest.raises(BadSignature):
        sessions.get_signing_serializer(app).loads(cookie)
    app.config["SECRET_KEY_FALLBACKS"] = [old]
    assert sessions.get_signing_serializer(app).loads(cookie) == {"a": 1}
