"""Whatever is sent to the pages of people is answered with words, never with a failure."""

from __future__ import annotations

import logging
from collections.abc import Callable

import pytest
from flask import Flask, url_for
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import delete

from tests.web.people.conftest import Browser, House, token_in
from tests.web.people.world import furnished, ids_of
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.operation import RateCountRow

# They sign out whoever sends the requests.
ENDING = {"people.sign_out", "organisation.end_member", "organisation.sign_out_member"}
OURS = ("people.", "organisation.", "operator.")
FIELDS = (
    "name", "password", "old_password", "code", "sign_in_name", "display_name", "keep", "next", "email", "reference",
    "site_id", "trade_role_id", "roles", "who", "part", "archived", "kind", "fingerprint", "encoding", "member",
    "suspended", "administrator", "search", "state", "after", "before",
)  # fmt: skip
SPECIMENS = (
    "", " ", "0", "-1", "99999999999999999999", "learner", "administrator", "college", "college-member",
    "ann@example.org", "' OR 1=1 --",
    "<script>alert(1)</script>", "{{ 7*7 }}", "../../etc/passwd", "%00", "\u202e", "\x7f",
    "a" * 5000, "\u00df\u0130", "\U0001f50c", "x\x1fy", "\r\nSet-Cookie: a=b", "=1+1", "http://attacker.example",
)  # fmt: skip
text = st.sampled_from(SPECIMENS) | st.text(st.characters(exclude_categories=["Cs"]), max_size=60)
sent = st.dictionaries(st.sampled_from(FIELDS), text | st.lists(text, max_size=3), max_size=6)


@pytest.fixture
def college(storage: SqlStorage) -> House:
    return furnished(storage, "college")


def ours(app: Flask) -> list[tuple[str, str, frozenset[str]]]:
    return [
        (rule.endpoint, method, frozenset(rule.arguments))
        for rule in app.url_map.iter_rules()
        for method in sorted(rule.methods & {"GET", "POST"})
        if rule.endpoint.startswith(OURS) and rule.endpoint not in ENDING
    ]


@pytest.mark.parametrize("who", [None, "college-administrator"])
def test_no_page_fails_whatever_is_sent(
    app: Flask,
    storage: SqlStorage,
    college: House,
    browser_of: Callable[..., Browser],
    request: pytest.FixtureRequest,
    caplog: pytest.LogCaptureFixture,
    who: str | None,
) -> None:
    caplog.set_level(logging.CRITICAL)
    browser = browser_of(who)
    examples = 300 if request.config.getoption("--slow") else 4
    ids = ids_of(college)

    def check(route: tuple[str, str, frozenset[str]], data, odd: str) -> None:
        endpoint, method, arguments = route
        parts = {name: odd if odd and name in arguments else ids[name] for name in arguments}
        with app.test_request_context():
            path = url_for(endpoint, **parts)
        if method == "GET":
            answer = browser.client.get(path, query_string=data)
        else:
            token = token_in(browser.get("/join").text)
            answer = browser.client.post(path, data={**data, "csrf_token": token})
        answer.close()
        assert answer.status_code < 500, (method, path, data)

    odds = st.just("") | st.sampled_from([each for each in SPECIMENS if each.strip("/. ")])
    many = settings(max_examples=examples, deadline=None, suppress_health_check=list(HealthCheck), database=None)
    for route in ours(app):
        with storage.database.writing() as session:
            session.execute(delete(RateCountRow))
        many(given(route=st.just(route), data=sent, odd=odds)(check))()
