"""Wrong tries of others keep nobody out of the browser in which they came in before.

Source: OWASP ASVS 5.0.0, 6.1.1 and 6.3.1; the way is the one that OWASP describes as device cookies.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from flask import Flask

from tests.web.conftest import settings
from tests.web.people.conftest import PASSWORD, Browser, Clock, House, app, box, browser_of, clock, college
from trainer.web.known import note, number_of

__all__ = ["app", "box", "browser_of", "clock", "college", "settings"]

Browsers = Callable[..., Browser]
LEARNER, LECTURER, WRONG = "college-learner", "college-lecturer", "wrong wrong wrong"


def left(browser: Browser) -> Browser:
    """The same browser after signing out."""
    assert browser.post("/sign-out", page="/account").status_code == 303
    return browser


def test_five_wrong_tries_at_the_next_desk_keep_nobody_from_their_own_browser(
    college: House, browser_of: Browsers
) -> None:
    """All browsers of a room share one address."""
    own, elsewhere, neighbour = left(browser_of(LEARNER)), browser_of(None), browser_of(None)
    assert [neighbour.sign_in(LEARNER, WRONG).status_code for _ in range(6)] == [400] * 5 + [429]
    assert elsewhere.sign_in(LEARNER).status_code == 429
    assert own.sign_in(LEARNER).status_code == 303


def test_fifty_wrong_tries_from_many_places_keep_nobody_from_their_own_browser(
    college: House, browser_of: Browsers, clock: Clock
) -> None:
    own = left(browser_of(LEARNER))
    for number in range(11):
        thief = browser_of(None)
        thief.client.environ_base["REMOTE_ADDR"] = f"192.0.2.{number}"
        for _ in range(5):
            thief.sign_in(LEARNER, WRONG)
    assert browser_of(None).sign_in(LEARNER).status_code == 429
    assert own.sign_in(LEARNER).status_code == 303


def test_a_browser_that_is_known_has_five_tries_of_its_own_however_its_cookie_is_turned_back(
    college: House, browser_of: Browsers, clock: Clock
) -> None:
    """Whoever sits down at a shared machine guesses no faster there than elsewhere."""
    shared = left(browser_of(LEARNER))
    cookie = shared.client.get_cookie("trainer").value
    answers = []
    for number in range(7):
        shared.client.set_cookie("trainer", cookie)
        shared.client.environ_base["REMOTE_ADDR"] = f"192.0.2.{number}"
        answers.append(shared.sign_in(LEARNER, WRONG).status_code)
    assert answers == [400] * 5 + [429] * 2
    clock.pass_by(timedelta(minutes=16))
    assert shared.sign_in(LEARNER).status_code == 303


def test_to_be_known_under_one_name_helps_under_no_other(college: House, browser_of: Browsers) -> None:
    known, neighbour = left(browser_of(LECTURER)), browser_of(None)
    for _ in range(5):
        neighbour.sign_in(LEARNER, WRONG)
    assert known.sign_in(LEARNER).status_code == 429


def test_a_shared_machine_knows_the_last_eight_and_names_none_of_them(college: House, browser_of: Browsers) -> None:
    import base64
    import zlib

    shared = left(browser_of(LEARNER))
    for name in ("college-lecturer", "college-training_manager", "college-administrator", LEARNER):
        assert shared.sign_in(name).status_code == 303
        left(shared)
    cookie = shared.client.get_cookie("trainer").value
    body = cookie.lstrip(".").split(".")[0]
    raw = base64.urlsafe_b64decode(body + "=" * (-len(body) % 4))
    text = zlib.decompress(raw) if cookie.startswith(".") else raw
    assert b"known" in text
    assert not [name for name in (LEARNER, LECTURER, PASSWORD) if name.encode() in text]
    neighbour = browser_of(None)
    for _ in range(5):
        neighbour.sign_in(LECTURER, WRONG)
    assert shared.sign_in(LECTURER).status_code == 303


def test_of_many_names_the_last_eight_stay(app: Flask) -> None:
    with app.test_request_context():
        for number in range(10):
            note(f"name-{number}")
        first = number_of("name-5")
        note("name-5")
        assert [bool(number_of(f"name-{number}")) for number in range(10)] == [False] * 2 + [True] * 8
        assert number_of("name-5") == first
        note("another")
        assert (bool(number_of("name-2")), bool(number_of("name-5"))) == (False, True)
