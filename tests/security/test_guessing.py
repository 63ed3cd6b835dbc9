"""Guessing and taking over: what somebody reaches who knows a password, found a signed-in browser, or has time.

Source: OWASP ASVS 5.0.0, 6.3.1, 6.6.3, 7.3.2, 7.5.1; NIST SP 800-63B, 5.2.2 (at most a hundred wrong tries at one
account); RFC 6238 (six digits, three of a million are good at a time); RFC 4291, 2.5.4 (a subscriber has 64 bits).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta

import pyotp
import pytest
from flask import Flask
from sqlalchemy import select

from tests.web.conftest import settings
from tests.web.people.conftest import (
    PASSWORD,
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
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.operation import AuditRow
from trainer.services.people.records import Member
from trainer.services.people.words import MemberState, Role
from trainer.web.rates import network_of

__all__ = ["Box", "app", "box", "browser_of", "clock", "college", "firm", "settings"]

Browsers = Callable[..., Browser]
LECTURER, LEARNER = "college-lecturer", "college-learner"
FACTOR = "/account/second-factor"


def set_up(browser: Browser, clock: Clock) -> tuple[str, list[str]]:
    """Sets the factor up; gives the secret and the codes for paper."""
    shown = re.search(r'<figcaption class="number breaks">([A-Z2-7 ]+)</figcaption>', browser.get(FACTOR).text)
    assert shown
    secret = shown[1].replace(" ", "")
    page = browser.post(FACTOR, {"code": pyotp.TOTP(secret).at(clock.now)}, page=FACTOR).text
    return secret, re.findall(r"<li>([A-Z0-9]{4}-[A-Z0-9]{4}-[A-Z0-9]{4})</li>", page)


def test_who_knows_a_password_guesses_thirty_codes_a_day_however_often_it_is_given(
    college: House, browser_of: Browsers, clock: Clock
) -> None:
    """Each signing in gives a new session, and each machine is another address: only the account stays the same."""
    secret, _ = set_up(browser_of(LECTURER), clock)
    tried = []
    for number in range(8):
        clock.pass_by(timedelta(minutes=1))
        thief = browser_of(None)
        thief.client.environ_base["REMOTE_ADDR"] = f"192.0.2.{number}"
        thief.sign_in(LECTURER)
        tried += [thief.post("/sign-in/code", {"code": "00000"}, page="/sign-in/code").status_code for _ in range(4)]
    assert tried == [400] * 30 + [429] * 2
    clock.pass_by(timedelta(days=1, minutes=1))
    owner = browser_of(LECTURER)
    right = pyotp.TOTP(secret).at(clock.now)
    assert owner.post("/sign-in/code", {"code": right}, page="/sign-in/code").status_code == 303


def test_an_account_whose_codes_are_guessed_keeps_nobody_else_out(
    college: House, browser_of: Browsers, clock: Clock
) -> None:
    secret, _ = set_up(browser_of("college-administrator"), clock)
    set_up(browser_of(LECTURER), clock)
    clock.pass_by(timedelta(minutes=1))
    for number in range(8):
        thief = browser_of(None)
        thief.client.environ_base["REMOTE_ADDR"] = f"192.0.2.{number}"
        thief.sign_in(LECTURER)
        for _ in range(4):
            thief.post("/sign-in/code", {"code": "00000"}, page="/sign-in/code")
    other = browser_of("college-administrator")
    right = pyotp.TOTP(secret).at(clock.now)
    assert other.post("/sign-in/code", {"code": right}, page="/sign-in/code").status_code == 303


@pytest.mark.parametrize("path", [f"{FACTOR}/remove", f"{FACTOR}/codes"])
def test_the_password_is_not_guessed_on_the_page_of_the_second_factor(
    college: House, browser_of: Browsers, clock: Clock, path: str
) -> None:
    browser = browser_of(LECTURER)
    set_up(browser, clock)
    wrong = [browser.post(path, {"password": f"wrong wrong wrong {n}"}, page=FACTOR).status_code for n in range(7)]
    assert wrong == [400] * 5 + [429] * 2
    assert browser.post(path, {"password": PASSWORD}, page=FACTOR).status_code == 429


def test_who_finds_a_signed_in_browser_makes_no_codes_for_paper(
    college: House, browser_of: Browsers, clock: Clock
) -> None:
    browser = browser_of(LECTURER)
    _, codes = set_up(browser, clock)
    refused = browser.post(f"{FACTOR}/codes", page=FACTOR)
    assert refused.status_code == 400
    assert not re.search(r"<li>[A-Z0-9]{4}-", refused.text)
    made = browser.post(f"{FACTOR}/codes", {"password": PASSWORD}, page=FACTOR)
    assert len(re.findall(r"<li>[A-Z0-9]{4}-", made.text)) == 10
    assert codes[0] not in made.text


def test_a_second_factor_is_set_up_with_the_password_unless_it_was_just_given(
    college: House, browser_of: Browsers, clock: Clock
) -> None:
    """Else whoever finds a browser locks its owner out."""
    browser = browser_of(LEARNER)
    clock.pass_by(timedelta(minutes=16))
    page = browser.get(FACTOR).text
    assert 'name="password"' in page
    shown = re.search(r'<figcaption class="number breaks">([A-Z2-7 ]+)</figcaption>', page)
    assert shown
    code = pyotp.TOTP(shown[1].replace(" ", "")).at(clock.now)
    for password in ("", "wrong wrong wrong"):
        answer = browser.post(FACTOR, {"code": code, "password": password}, page=FACTOR)
        assert answer.status_code == 400
        assert "-" not in "".join(re.findall(r"<li>([A-Z0-9-]+)</li>", answer.text))
    assert browser.post(FACTOR, {"code": code, "password": PASSWORD}, page=FACTOR).status_code == 200
    assert "Unused codes on paper: 10." in browser.get(FACTOR).text


def test_each_time_the_password_is_given_the_session_goes_on_under_a_new_token(
    college: House, browser_of: Browsers, clock: Clock
) -> None:
    """ASVS 7.2.4: signing in again counts as well."""
    browser = browser_of(LECTURER)
    set_up(browser, clock)
    for path in (f"{FACTOR}/codes", f"{FACTOR}/remove"):
        before = browser.client.get_cookie("trainer").value
        assert browser.post(path, {"password": PASSWORD}, page=FACTOR).status_code in {200, 303}
        assert browser.get("/account").status_code == 200
        thief = browser_of(None)
        thief.client.set_cookie("trainer", before)
        assert thief.get("/account").headers["Location"].startswith("/sign-in?")


def test_the_log_tells_by_which_factor_somebody_came_in(
    college: House, storage: SqlStorage, browser_of: Browsers, clock: Clock
) -> None:
    """ASVS 16.3.1."""
    secret, codes = set_up(browser_of(LECTURER), clock)
    clock.pass_by(timedelta(minutes=1))
    for code in (pyotp.TOTP(secret).at(clock.now), codes[0]):
        browser_of(LECTURER).post("/sign-in/code", {"code": code}, page="/sign-in/code")
    with storage.database.reading() as session:
        actions = list(session.scalars(select(AuditRow.action).where(AuditRow.subject_id == LECTURER)))
    assert actions == [
        "person.signed_in",
        "person.second_factor_set_up",
        "person.signed_in",
        "person.gave_a_code",
        "person.signed_in",
        "person.used_a_paper_code",
    ]


def test_just_after_signing_in_the_password_is_not_asked_for_twice(college: House, browser_of: Browsers) -> None:
    assert 'name="password"' not in browser_of(LECTURER).get(FACTOR).text


@pytest.mark.parametrize("method", ["GET", "HEAD"])
def test_an_address_with_a_code_in_it_is_counted_as_the_form_is(college: House, app: Flask, method: str) -> None:
    """The page of a new account tells the name of the group of a code: by its address one could guess for ever."""
    tried = (app.test_client().open(f"/account/new?code=ABCD{number:04}", method=method) for number in range(122))
    assert [answer.status_code for answer in tried] == [404] * 120 + [429] * 2


@pytest.mark.parametrize("method", ["GET", "HEAD"])
def test_codes_of_records_are_not_tried_for_ever(college: House, app: Flask, method: str) -> None:
    tried = (app.test_client().open(f"/check/abcdefgh{number:02}", method=method) for number in range(32))
    assert [answer.status_code for answer in tried] == [404] * 30 + [429] * 2


def test_a_new_account_without_a_code_is_never_refused_for_codes_of_others(
    college: House, browser_of: Browsers
) -> None:
    for number in range(122):
        browser_of(None).get(f"/account/new?code=ABCD{number:04}")
    assert browser_of(None).get("/account/new").status_code == 200


def made_staff(storage: SqlStorage, member_id: str, person_id: str) -> None:
    with storage.scopes(people_repositories).writing() as stored:
        known = stored.members.get("college", member_id)
        assert isinstance(known, Member)
        stored.members.add(
            Member(
                id="second",
                organisation_id="firm",
                person_id=person_id,
                display_name="Second",
                email=None,
                reference=None,
                site_id=None,
                trade_role_id=None,
                state=MemberState.ACTIVE,
                created_at=known.created_at,
                roles=frozenset({Role.ADMINISTRATOR}),
            )
        )


def test_a_long_session_of_a_learner_ends_after_half_a_day_where_its_owner_works_as_staff(
    college: House, firm: House, storage: SqlStorage, browser_of: Browsers, clock: Clock
) -> None:
    """An invitation taken up with the account that is signed in leaves the session as it began: for thirty days."""
    browser = browser_of(LEARNER)
    made_staff(storage, LEARNER, LEARNER)
    clock.pass_by(timedelta(hours=11, minutes=50))
    assert browser.get("/account").status_code == 200
    assert browser.post("/account/work-in", {"member": "second"}, page="/account").status_code == 303
    assert browser.get("/organisation/settings").status_code == 200
    clock.pass_by(timedelta(minutes=20))
    assert browser.get("/organisation/settings").headers["Location"].startswith("/sign-in?")


def test_a_long_session_of_somebody_who_was_made_an_operator_ends_after_half_a_day(
    college: House, storage: SqlStorage, browser_of: Browsers, clock: Clock
) -> None:
    browser = browser_of(LEARNER)
    with storage.scopes(people_repositories).writing() as stored:
        stored.people.change(LEARNER, is_operator=True)
    clock.pass_by(timedelta(hours=2, minutes=1))
    assert browser.get("/operator/organisations").headers["Location"].startswith("/sign-in?")


def test_a_learner_stays_signed_in_for_days(college: House, browser_of: Browsers, clock: Clock) -> None:
    browser = browser_of(LEARNER)
    clock.pass_by(timedelta(days=3))
    assert browser.get("/account").status_code == 200


@pytest.mark.parametrize(
    ("address", "network"),
    [
        # RFC 3849 and RFC 5737 set these aside for documents.
        ("2001:db8:1:2:3:4:5:6", "2001:db8:1:2::/64"),
        ("2001:db8:1:2:ffff::1", "2001:db8:1:2::/64"),
        ("::ffff:192.0.2.7", "192.0.2.7"),
        ("192.0.2.7", "192.0.2.7"),
        ("fe80::1%eth0", "fe80::/64"),
        ("", "nowhere"),
        ("unix:", "unix:"),
    ],
)
def test_all_addresses_of_one_subscriber_count_as_one(address: str, network: str) -> None:
    assert network_of(address) == network


def test_who_changes_the_last_half_of_the_address_is_still_counted(
    college: House, app: Flask, browser_of: Browsers
) -> None:
    answers = []
    for number in range(7):
        browser = browser_of(None)
        browser.client.environ_base["REMOTE_ADDR"] = f"2001:db8:1:2::{number:x}"
        answers.append(browser.sign_in(LEARNER, "wrong wrong wrong").status_code)
    assert answers == [400] * 5 + [429] * 2
