"""Signing in and out; sessions."""

from __future__ import annotations

import base64
import json
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import timedelta

import pytest
from flask import Flask
from sqlalchemy import Engine, event

from tests.web.people.conftest import CHEAP, PASSWORD, Browser, Clock, House, person, token_in
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.services.people.hashing import Argon2
from trainer.services.people.secrets import hash_of

Browsers = Callable[..., Browser]


def cookie(browser: Browser) -> dict[str, object]:
    """What the signed cookie holds: readable by anybody, changeable by nobody."""
    found = browser.client.get_cookie("trainer")
    assert found is not None
    payload = found.value.rsplit(".", 2)[0]
    raw = base64.urlsafe_b64decode(payload.lstrip(".") + "===")
    return json.loads(zlib.decompress(raw) if payload.startswith(".") else raw)


def test_whoever_signs_in_sees_the_account_and_can_sign_out(college: House, browser_of: Browsers) -> None:
    browser = browser_of("college-learner")
    assert "The college" in browser.get("/account").text
    assert browser.post("/sign-out", page="/account").status_code == 303
    assert browser.get("/account").headers["Location"] == "/sign-in?next=/account"


def test_a_wrong_password_and_an_unknown_name_get_the_same_answer(college: House, browser_of: Browsers) -> None:
    browser = browser_of()
    known = browser.sign_in("college-learner", "not this one at all")
    unknown = browser.sign_in("nobody-at-all", "not this one at all")
    assert known.status_code == unknown.status_code == 400
    hide = (("college-learner", "X"), ("nobody-at-all", "X"))
    texts = []
    for answer in (known, unknown):
        text = answer.text
        for name, shown in hide:
            text = text.replace(name, shown)
        # The token against other sites carries the second it was made in.
        texts.append(text.replace(token_in(text), "T"))
    assert texts[0] == texts[1]


def test_an_unknown_name_costs_as_much_hashing_as_a_known_one(
    college: House, browser_of: Browsers, app: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    """OWASP ASVS 5.0, 6.3.8: neither answers nor times tell which accounts there are."""
    asked: list[str | None] = []
    verify = Argon2.verify

    def counted(self: Argon2, stored: str | None, typed: str) -> bool:
        asked.append(stored)
        return verify(self, stored, typed)

    monkeypatch.setattr(Argon2, "verify", counted)
    browser = browser_of()
    browser.sign_in("college-learner", "wrong wrong wrong")
    browser.sign_in("nobody-at-all", "wrong wrong wrong")
    assert len(asked) == 2
    assert asked[1] is None


def test_signing_in_gives_a_new_token_and_drops_what_the_cookie_held(college: House, browser_of: Browsers) -> None:
    browser = browser_of()
    browser.get("/sign-in")
    before = cookie(browser)
    browser.sign_in("college-learner")
    first = cookie(browser)
    assert first.get("csrf_token") != before["csrf_token"]
    browser.post("/sign-out", page="/account")
    browser.sign_in("college-learner")
    assert cookie(browser)["signed_in"] != first["signed_in"]


def test_a_cookie_kept_from_before_signing_out_is_worth_nothing(college: House, browser_of: Browsers) -> None:
    browser = browser_of("college-learner")
    kept = browser.client.get_cookie("trainer").value
    browser.post("/sign-out", page="/account")
    browser.client.set_cookie("trainer", kept)
    assert browser.get("/account").status_code == 303


def test_the_database_holds_the_hash_of_the_token_only(
    college: House, browser_of: Browsers, storage: SqlStorage
) -> None:
    browser = browser_of("college-learner")
    token = str(cookie(browser)["signed_in"])
    with storage.scopes(people_repositories).reading() as stored:
        session = stored.sessions.of_person("college-learner")[0]
    assert session.token_hash == hash_of(token)
    assert token not in str(session)


def test_a_session_ends_when_it_lies_idle(college: House, browser_of: Browsers, clock: Clock) -> None:
    learner, staff = browser_of("college-learner"), browser_of("college-lecturer")
    clock.pass_by(timedelta(hours=2))
    assert staff.get("/account").status_code == 303
    assert learner.get("/account").status_code == 200
    clock.pass_by(timedelta(days=7))
    assert learner.get("/account").status_code == 303


def test_a_session_ends_at_the_latest_however_busy(college: House, browser_of: Browsers, clock: Clock) -> None:
    staff = browser_of("college-lecturer")
    for _ in range(11):
        clock.pass_by(timedelta(hours=1))
        assert staff.get("/account").status_code == 200
    clock.pass_by(timedelta(hours=1))
    assert staff.get("/account").status_code == 303


def test_one_session_can_be_seen_and_ended_from_another(college: House, browser_of: Browsers) -> None:
    here, there = browser_of("college-learner"), browser_of("college-learner")
    page = here.get("/account").text
    other = page.split('action="/account/sessions/')[1].split("/end")[0]
    here.post(f"/account/sessions/{other}/end", page="/account")
    assert there.get("/account").status_code == 303
    assert here.get("/account").status_code == 200


def test_nobody_ends_the_session_of_somebody_else(college: House, browser_of: Browsers, storage: SqlStorage) -> None:
    victim, attacker = browser_of("college-learner"), browser_of("college-administrator")
    with storage.scopes(people_repositories).reading() as stored:
        session = stored.sessions.of_person("college-learner")[0]
    attacker.post(f"/account/sessions/{session.id}/end", page="/account")
    assert victim.get("/account").status_code == 200


def test_changing_the_password_ends_all_other_sessions_and_renews_this_one(
    college: House, browser_of: Browsers
) -> None:
    here, there = browser_of("college-learner"), browser_of("college-learner")
    before = cookie(here)["signed_in"]
    answer = here.post(
        "/account/password", {"old_password": PASSWORD, "password": "violet anchor teapot canyon"}, page="/account"
    )
    assert answer.status_code == 303
    assert there.get("/account").status_code == 303
    assert here.get("/account").status_code == 200
    assert cookie(here)["signed_in"] != before
    assert browser_of().sign_in("college-learner").status_code == 400
    assert browser_of().sign_in("college-learner", "violet anchor teapot canyon").status_code == 303


def test_the_old_password_is_needed_and_the_new_one_must_be_good(college: House, browser_of: Browsers) -> None:
    browser = browser_of("college-learner")
    wrong = browser.post("/account/password", {"old_password": "x" * 12, "password": PASSWORD}, page="/account")
    assert (wrong.status_code, "is not the password" in wrong.text) == (400, True)
    easy = browser.post("/account/password", {"old_password": PASSWORD, "password": "password1234"}, page="/account")
    assert (easy.status_code, "tried first" in easy.text) == (400, True)


def test_a_password_hashed_with_older_parameters_is_hashed_anew_at_the_next_sign_in(
    storage: SqlStorage, browser_of: Browsers
) -> None:
    older = Argon2(iterations=1, memory_kib=16)
    with storage.scopes(people_repositories).writing() as stored:
        stored.people.add(person("old", password_hash=older.hash(PASSWORD)))
    browser_of("old")
    with storage.scopes(people_repositories).reading() as stored:
        found = stored.people.get("old")
    assert found is not None
    assert not CHEAP.is_outdated(found.password_hash or "")


def test_a_password_changed_while_the_old_one_is_checked_keeps_the_old_one_out(
    college: House, browser_of: Browsers, storage: SqlStorage, monkeypatch: pytest.MonkeyPatch
) -> None:
    verify, other = Argon2.verify, CHEAP.hash("violet anchor teapot canyon")

    def changed_meanwhile(self: Argon2, stored: str | None, typed: str) -> bool:
        with storage.scopes(people_repositories).writing() as repositories:
            repositories.people.change("college-learner", password_hash=other)
        return verify(self, stored, typed)

    monkeypatch.setattr(Argon2, "verify", changed_meanwhile)
    assert browser_of().sign_in("college-learner").status_code == 400
    with storage.scopes(people_repositories).reading() as stored:
        found = stored.people.get("college-learner")
        assert found is not None
        assert found.password_hash == other
        assert found.last_signed_in_at is None
        assert stored.sessions.of_person("college-learner") == ()


def test_five_wrong_passwords_and_the_name_rests_from_there(college: House, browser_of: Browsers, clock: Clock) -> None:
    browser = browser_of()
    for _ in range(5):
        assert browser.sign_in("college-learner", "wrong wrong wrong").status_code == 400
    assert browser.sign_in("College-Learner ").status_code == 429
    # The rest of the room, behind the same address, is not kept out.
    assert browser_of().sign_in("college-lecturer").status_code == 303
    clock.pass_by(timedelta(minutes=15))
    assert browser.sign_in("college-learner").status_code == 303


def test_a_name_rests_for_an_hour_after_fifty_tries_from_many_places(college: House, app: Flask) -> None:
    def attempt(place: int) -> int:
        browser = Browser(app.test_client())
        browser.client.environ_base["REMOTE_ADDR"] = f"192.0.2.{place}"
        return browser.sign_in("college-learner", "wrong wrong wrong").status_code

    assert [attempt(n // 5) for n in range(51)] == [400] * 50 + [429]


@contextmanager
def statements() -> Iterator[list[str]]:
    """What the database is asked in the block, as far as the first words of each."""
    asked: list[str] = []

    def noted(_connection: object, _cursor: object, statement: str, *_: object) -> None:
        asked.append(" ".join(statement.split()))

    event.listen(Engine, "before_cursor_execute", noted)
    try:
        yield asked
    finally:
        event.remove(Engine, "before_cursor_execute", noted)


def test_the_three_counts_of_a_name_and_an_address_are_asked_for_by_one_statement(
    college: House, browser_of: Browsers
) -> None:
    """Three hundred sign in at one moment, beside others who save."""
    browser = browser_of()
    browser.get("/sign-in")
    with statements() as asked:
        assert browser.sign_in("college-learner").status_code == 303
    assert len([each for each in asked if "rate_count" in each]) == 1


def test_an_account_is_read_once_before_its_password_is_checked_and_written_and_held_by_one_statement(
    college: House, browser_of: Browsers, storage: SqlStorage
) -> None:
    with statements() as asked:
        assert browser_of("college-learner")
    assert len([each for each in asked if " FROM person " in each]) == 1
    assert len([each for each in asked if each.startswith("UPDATE person ")]) == 1
    with storage.scopes(people_repositories).reading() as stored:
        found = stored.people.get("college-learner")
    assert found is not None
    assert found.last_signed_in_at is not None


def test_signing_in_is_not_limited_while_it_goes_well(college: House, browser_of: Browsers) -> None:
    assert {browser_of().sign_in("college-learner").status_code for _ in range(8)} == {303}


def test_whoever_signs_in_again_in_the_same_browser_leaves_no_session_behind(
    college: House, browser_of: Browsers, storage: SqlStorage
) -> None:
    browser = browser_of("college-learner")
    browser.sign_in("college-lecturer")
    with storage.scopes(people_repositories).reading() as stored:
        assert stored.sessions.of_person("college-learner") == ()


@pytest.mark.parametrize(
    "place", ["https://elsewhere.example/", "//elsewhere.example", "/\\elsewhere.example", "javascript:alert(1)", "x"]
)
def test_signing_in_never_leads_to_another_site(college: House, browser_of: Browsers, place: str) -> None:
    answer = browser_of().sign_in("college-learner", next=place)
    assert answer.headers["Location"] == "/account"


def test_signing_in_leads_back_to_the_page_that_asked(college: House, browser_of: Browsers) -> None:
    assert browser_of().sign_in("college-lecturer", next="/organisation/groups?x=1").headers["Location"] == (
        "/organisation/groups?x=1"
    )


def test_the_eleventh_session_can_still_be_listed(college: House, browser_of: Browsers) -> None:
    for _ in range(10):
        browser_of("college-learner")
    assert browser_of("college-learner").get("/account").text.count("Sign out there") == 10
