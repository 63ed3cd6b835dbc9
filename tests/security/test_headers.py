"""What every answer carries, whatever it answers: pages, files, redirects and every kind of refusal.

Source: OWASP ASVS 5.0.0, chapters V3.3, V3.4, V4.1, V14.3; W3C CSP Level 3; RFC 6797; RFC 6265bis.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from flask import Flask, abort, url_for
from werkzeug.test import TestResponse

from tests.security.world import ROLES, VISITOR, World, seated
from trainer.web.access import PUBLIC
from trainer.web.guard import TABLE

# As decided in docs/decisions/002, spelt out a second time on purpose.
POLICY = {
    "default-src": "'none'", "script-src": "'self'", "style-src": "'self'", "img-src": "'self'", "font-src": "'self'",
    "connect-src": "'self'", "form-action": "'self'", "base-uri": "'none'", "frame-ancestors": "'none'",
}  # fmt: skip
UNSAFE = {"POST", "PUT", "PATCH", "DELETE"}


def answers(app: Flask, world: World, who: str, *, base_url: str = "http://localhost") -> Iterator[TestResponse]:
    """Every route by every method that it knows, without a token, and one that it does not know."""
    for rule in app.url_map.iter_rules():
        with app.test_request_context():
            path = url_for(rule.endpoint, **{name: world.ids[name] for name in rule.arguments})
        for method in sorted((rule.methods or set()) | {"TRACE"}):
            client = seated(app, world.seats[who]) if base_url.startswith("http:") else app.test_client()
            yield client.open(path, method=method, base_url=base_url, buffered=True)


def faults(answer: TestResponse) -> list[str]:
    """What is missing in the head of an answer."""
    head = answer.headers
    policy = dict(part.split(" ", 1) for part in head.get("Content-Security-Policy", "").split("; ") if part)
    held = {
        "policy": policy == POLICY,
        "nosniff": head.get("X-Content-Type-Options") == "nosniff",
        "referrer": head.get("Referrer-Policy") in {"same-origin", "no-referrer"},
        "opener": head.get("Cross-Origin-Opener-Policy") == "same-origin",
        "resource": head.get("Cross-Origin-Resource-Policy") == "same-origin",
        "no other site may read": "Access-Control-Allow-Origin" not in head,
        "charset": not head.get("Content-Type", "").startswith("text/") or "charset=utf-8" in head["Content-Type"],
        "type": not answer.data or "Content-Type" in head,
        "cache": head.get("Cache-Control") == "no-store"
        or ("/static/" in answer.request.path and answer.status_code < 400),
        "cookies": all("HttpOnly" in each and "SameSite=Lax" in each for each in head.getlist("Set-Cookie")),
        "no version of the server": not any(word in head.get("Server", "") for word in ("Werkzeug", "Python")),
    }
    return [name for name, holds in held.items() if not holds]


@pytest.mark.parametrize("who", [VISITOR, *ROLES[1:5:3]])
def test_every_answer_of_every_route_by_every_method_carries_the_policy(app: Flask, world: World, who: str) -> None:
    wrong = []
    for answer in answers(app, world, who):
        missing = faults(answer)
        if missing:
            wrong.append(f"{answer.request.method} {answer.request.path} {answer.status_code}: {missing}")
    assert wrong == []


def test_over_https_every_answer_asks_for_https_and_cookies_are_bound_to_the_host(app: Flask, world: World) -> None:
    for answer in answers(app, world, VISITOR, base_url="https://trainer.example"):
        # ASVS 3.4.1 at level 2: a year at least, with all hosts below.
        assert answer.headers["Strict-Transport-Security"] == "max-age=31536000; includeSubDomains"
        for cookie in answer.headers.getlist("Set-Cookie"):
            assert cookie.startswith("__Host-trainer=")
            assert {"Secure", "HttpOnly", "Path=/", "SameSite=Lax"} <= {part.strip() for part in cookie.split(";")}
            assert "Domain" not in cookie


@pytest.mark.parametrize("code", [400, 403, 404, 405, 413, 414, 415, 418, 429, 431, 500, 501, 503])
def test_every_refusal_carries_the_policy_and_says_nothing_of_the_program(app: Flask, world: World, code: int) -> None:
    app.add_url_rule("/refused", "refused", lambda: abort(code))
    app.extensions[TABLE]["refused"] = PUBLIC
    answer = app.test_client().get("/refused")
    assert (answer.status_code, faults(answer)) == (500 if code >= 500 else code, [])
    assert "Traceback" not in answer.text
    assert answer.mimetype == "text/html"


def test_a_failure_carries_the_policy_and_shows_nothing_of_what_failed(app: Flask, world: World) -> None:
    def failing() -> str:
        raise RuntimeError("the inside of the program")

    app.add_url_rule("/failing", "failing", failing)
    app.extensions[TABLE]["failing"] = PUBLIC
    answer = app.test_client().get("/failing")
    assert (answer.status_code, faults(answer)) == (500, [])
    assert "inside of the program" not in answer.text


def test_a_file_that_caches_may_share_brings_no_cookie_of_whoever_asked_first(app: Flask, world: World) -> None:
    """RFC 9111, 7.3: a shared cache may keep an answer with its cookie. Found with a session's token in one."""
    for seat in (world.seats["college-administrator"], world.seats["visitor"]):
        for path in ("/static/trainer.css", "/static/trainer.css?v=1", "/static/none.css?v=1"):
            answer = seated(app, seat).get(path, buffered=True)
            assert answer.headers.getlist("Set-Cookie") == [], path


def test_only_a_file_that_is_there_may_be_kept(app: Flask, world: World) -> None:
    """What is refused is a page of whoever asked, and the file may be there tomorrow."""
    client = seated(app, world.seats["college-administrator"])
    kept = client.get("/static/trainer.css?v=1", buffered=True)
    assert kept.headers["Cache-Control"].startswith("public, ")
    for path in ("/static/none.css?v=1", "/static/none.css", "/static/?v=1", "/static/../app.py?v=1"):
        answer = client.get(path)
        assert (answer.status_code, answer.headers["Cache-Control"]) == (404, "no-store"), path


def test_no_address_lists_the_files_of_a_folder(app: Flask) -> None:
    for path in ("/static/", "/static", "/static/..", "/static/../app.py", "/static/%2e%2e/app.py", "/.git/config"):
        assert app.test_client().get(path).status_code == 404


def test_what_changes_something_is_never_done_by_a_safe_method(app: Flask) -> None:
    """ASVS 3.5.3. Addresses that end in a verb take POST only."""
    verbs = ("/end", "/out", "/drop", "/remove", "/revoke", "/void", "/withdraw", "/hand-in", "/save", "/sign-out")
    named = [rule for rule in app.url_map.iter_rules() if rule.rule.endswith(verbs)]
    assert len(named) > 10
    assert [rule.rule for rule in named if not (rule.methods or set()) <= UNSAFE | {"OPTIONS"}] == []
