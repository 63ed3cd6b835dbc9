"""Accounts and sessions: what the tests of the pages of people leave to be shown.

Source: OWASP ASVS 5.0.0, chapters V6, V7, V9; NIST SP 800-63B, 5.1.1.2.
"""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from flask import Flask
from sqlalchemy import func, select

from tests.security.world import World, seated
from tests.web.conftest import settings
from tests.web.people.conftest import (
    Box,
    Browser,
    Clock,
    House,
    app,
    box,
    browser_of,
    clock,
    college,
    firm,
)
from trainer.persistence.privacy.repositories import privacy_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.accounts import PersonRow, SecondFactorRow
from trainer.services.operation.audit import Actor
from trainer.services.privacy.erasing import Erasing
from trainer.web.sessions import SignedCookieSessions

__all__ = ["app", "box", "browser_of", "clock", "college", "firm", "settings"]

Browsers = Callable[..., Browser]
LEARNER = "college-learner"


def test_cookies_and_tokens_of_forms_are_signed_by_sha_256(app: Flask) -> None:
    """RFC 2104 and FIPS 180-4: a code by SHA-256 has 32 bytes, which are 43 signs in base64; SHA-1 has 27."""
    client = app.test_client()
    page = client.get("/sign-in")
    token = html.unescape(re.search(r'name="csrf_token"[^>]*value="([^"]+)"', page.text)[1])
    cookie = client.get_cookie("trainer")
    assert [len(each.rpartition(".")[2]) for each in (cookie.value, token)] == [43, 43]


def test_signing_out_clears_what_the_browser_keeps_of_pages(college: House, browser_of: Browsers) -> None:
    """W3C Clear Site Data, 3.1: "cache"; the cookie stays for whoever practised here without an account."""
    answer = browser_of(LEARNER).post("/sign-out", page="/account")
    assert answer.headers["Clear-Site-Data"] == '"cache"'


def test_every_field_for_a_password_masks_it_and_helps_password_managers(
    college: House, browser_of: Browsers, root: Path
) -> None:
    browser = browser_of(LEARNER)
    pages = [browser_of().get(path).text for path in ("/sign-in", "/account/new")]
    pages += [browser.get(path).text for path in ("/account", "/account/second-factor")]
    fields = [
        each for page in pages for each in re.findall(r"<input[^>]*>", page) if re.search(r'name="\w*password', each)
    ]
    assert len(fields) >= 4
    for field in fields:
        assert 'type="password"' in field
        assert re.search(r'autocomplete="(current|new)-password"', field)
        # No browser cuts off what the program would take: 128 characters.
        assert all(int(most) >= 128 for most in re.findall(r'maxlength="(\d+)"', field))
        assert "onpaste" not in field


def test_a_password_does_not_expire(college: House, browser_of: Browsers, clock: Clock) -> None:
    clock.pass_by(timedelta(days=3650))
    assert browser_of(LEARNER).get("/account").status_code == 200


def test_a_new_site_has_no_account(storage: SqlStorage) -> None:
    with storage.database.reading() as session:
        assert session.scalar(select(func.count()).select_from(PersonRow)) == 0


def test_no_page_asks_for_a_hint_or_a_secret_question(root: Path) -> None:
    asking = re.compile(r"\bhint\b|secret question|mother|first pet", re.IGNORECASE)
    pages = sorted((root / "templates/people").rglob("*.html"))
    assert len(pages) > 5
    assert [path.name for path in pages if asking.search(path.read_text("utf-8"))] == []


def test_a_new_password_by_link_does_not_pass_the_second_factor_by(
    college: House, browser_of: Browsers, box: Box, storage: SqlStorage, clock: Clock
) -> None:
    with storage.database.writing() as session:
        person = session.get(PersonRow, LEARNER)
        assert person is not None
        person.email = "learner@example.org"
        session.add(
            SecondFactorRow(person_id=LEARNER, salt="s", created_at=clock.now, confirmed_at=clock.now, last_step=0)
        )
    browser = browser_of()
    browser.post("/forgotten", {"name": LEARNER}, page="/forgotten").close()
    link = box.links()[-1]
    browser.post(link, {"password": "lantern kettle mosaic fjord"}, page=link)
    assert browser.get("/my-papers").headers.get("Location", "").startswith(("/sign-in", "/sign-in/code"))


def test_erasing_an_account_ends_its_sessions(college: House, browser_of: Browsers, storage: SqlStorage) -> None:
    browser = browser_of(LEARNER)
    assert browser.get("/account").status_code == 200
    erasing = Erasing(storage=storage.scopes(privacy_repositories), now=Clock(), new_id=lambda: "random")
    erasing.account(LEARNER, Actor(kind="command"))
    assert browser.get("/account").headers["Location"].startswith("/sign-in")


@pytest.mark.parametrize("change", ["cut", "flipped", "swapped", "unsigned", "empty"])
def test_a_cookie_that_was_changed_is_worth_nothing(college: House, browser_of: Browsers, change: str) -> None:
    browser = browser_of(LEARNER)
    cookie = browser.client.get_cookie("trainer")
    assert cookie is not None
    head, time, signature = cookie.value.rsplit(".", 2)
    forged = {
        "cut": cookie.value[:-2],
        "flipped": f"{head}.{time}.{signature[:-3]}{'A' if signature[-3] != 'A' else 'B'}{signature[-2:]}",
        "swapped": f"{head[:-1]}{'A' if head[-1] != 'A' else 'B'}.{time}.{signature}",
        "unsigned": f"{head}.{time}.",
        "empty": "..",
    }[change]
    browser.client.set_cookie("trainer", forged)
    assert browser.get("/account").headers["Location"].startswith("/sign-in")


def test_a_token_of_a_form_is_no_session_and_a_session_is_no_token(
    app: Flask, college: House, browser_of: Browsers
) -> None:
    browser = browser_of(LEARNER)
    token = html.unescape(re.search(r'name="csrf_token"[^>]*value="([^"]+)"', browser.get("/join").text)[1])
    cookie = browser.client.get_cookie("trainer")
    assert cookie is not None
    answer = browser.client.post("/account/work-in", data={"csrf_token": cookie.value, "member": LEARNER})
    assert answer.status_code == 400
    other = app.test_client()
    other.set_cookie("trainer", token)
    assert other.get("/account").headers["Location"].startswith("/sign-in")
    # The salt keeps what is signed for one purpose from another.
    assert SignedCookieSessions.salt != "wtf-csrf-token"


def test_no_route_knows_trace(app: Flask) -> None:
    assert [rule.rule for rule in app.url_map.iter_rules() if "TRACE" in (rule.methods or set())] == []
    assert app.test_client().open("/", method="TRACE").status_code == 405


def test_the_cookie_of_a_visitor_opens_nothing_of_an_account(world: World, app: Flask) -> None:
    client = seated(app, world.seats["visitor"])
    assert client.get("/account").headers["Location"].startswith("/sign-in")
