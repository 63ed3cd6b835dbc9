"""The policy that every answer carries."""

from __future__ import annotations

import re
from inspect import iscoroutinefunction
from pathlib import Path

import pytest
from flask import Flask, request, session
from flask.testing import FlaskClient
from flask_wtf.csrf import generate_csrf

# The policy as the project decided it (docs/decisions/002), spelt out here a second time on purpose.
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)


@pytest.mark.parametrize("address", ["/", "/about", "/healthz", "/static/trainer.css", "/no-such-page"])
def test_every_answer_carries_the_policy(client: FlaskClient, address: str) -> None:
    headers = client.get(address, buffered=True).headers
    assert headers["Content-Security-Policy"] == POLICY
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "same-origin"
    assert "camera=()" in headers["Permissions-Policy"]


def test_no_template_holds_a_style_a_script_or_a_handler_inside_the_page(root: Path) -> None:
    inline = re.compile(r"""<style|\sstyle\s*=|<script(?![^>]*\ssrc=)|\son[a-z]+\s*=|javascript:""", re.IGNORECASE)
    found = [
        f"{path.relative_to(root)}:{number}"
        for path in sorted((root / "templates").rglob("*"))
        if path.suffix in {".html", ".svg"}
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if inline.search(line)
    ]
    assert found == []


def test_no_page_asks_another_host_for_anything(client: FlaskClient, root: Path) -> None:
    for address in ("/", "/about"):
        assert re.findall(r'(?:src|href|action)="(?:https?:)?//', client.get(address).text) == []
    assert "http" not in (root / "trainer/web/static/trainer.css").read_text(encoding="utf-8").replace("--", "")


def test_a_page_is_not_kept_by_caches_but_a_named_file_is(client: FlaskClient) -> None:
    assert client.get("/").headers["Cache-Control"] == "no-store"
    stylesheet = re.search(r'href="(/static/trainer\.css\?v=[0-9a-f]{12})"', client.get("/").text)
    assert stylesheet
    assert "immutable" in client.get(stylesheet[1], buffered=True).headers["Cache-Control"]


def with_session(app: Flask) -> None:
    @app.get("/set-a-session")
    def set_a_session() -> str:
        session["learner"] = "somebody"
        return generate_csrf()

    @app.post("/a-form")
    def a_form() -> str:
        return f"accepted {request.form['answer']}"


def test_the_cookie_is_out_of_reach_of_scripts_and_other_sites(app: Flask) -> None:
    with_session(app)
    cookie = app.test_client().get("/set-a-session").headers["Set-Cookie"]
    assert cookie.startswith("trainer=")
    assert "HttpOnly" in cookie
    assert "SameSite=Lax" in cookie
    assert "Secure" not in cookie


def test_over_https_the_cookie_is_secure_and_bound_to_the_host(app: Flask) -> None:
    with_session(app)
    answer = app.test_client().get("/set-a-session", base_url="https://trainer.example")
    cookie = answer.headers["Set-Cookie"]
    # RFC 6265bis: the prefix demands Secure, Path=/ and no Domain.
    assert cookie.startswith("__Host-trainer=")
    assert "Secure" in cookie
    assert "Path=/" in cookie
    assert "Domain" not in cookie
    assert answer.headers["Strict-Transport-Security"] == "max-age=31536000; includeSubDomains"


def test_over_http_nothing_is_said_of_https(client: FlaskClient) -> None:
    assert "Strict-Transport-Security" not in client.get("/").headers


def test_a_form_without_its_token_is_refused_in_plain_words(app: Flask) -> None:
    with_session(app)
    answer = app.test_client().post("/a-form", data={"answer": "B"})
    assert answer.status_code == 400
    assert "lost its session" in answer.text


def test_a_form_with_its_token_is_accepted(app: Flask) -> None:
    with_session(app)
    client = app.test_client()
    token = client.get("/set-a-session").text
    answer = client.post("/a-form", data={"answer": "B", "csrf_token": token})
    assert answer.text == "accepted B"


def test_the_token_of_another_session_is_refused(app: Flask) -> None:
    with_session(app)
    token = app.test_client().get("/set-a-session").text
    other = app.test_client()
    other.get("/set-a-session")
    assert other.post("/a-form", data={"answer": "B", "csrf_token": token}).status_code == 400


def test_proxy_headers_are_believed_only_when_a_proxy_was_named(app: Flask) -> None:
    with_session(app)
    answer = app.test_client().get("/set-a-session", headers={"X-Forwarded-Proto": "https"})
    assert answer.headers["Set-Cookie"].startswith("trainer=")


def test_no_page_and_no_hook_is_a_coroutine(app: Flask) -> None:
    hooks = [
        each
        for named in (app.before_request_funcs, app.after_request_funcs, app.teardown_request_funcs)
        for functions in named.values()
        for each in functions
    ]
    assert not any(map(iscoroutinefunction, [*app.view_functions.values(), *hooks]))
