"""The second factor in the browser."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from datetime import timedelta

import pyotp
import pytest
from sqlalchemy import select

from tests.web.people.conftest import PASSWORD, Browser, Clock, House, build
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.accounts import RecoveryCodeRow

Browsers = Callable[..., Browser]


@pytest.fixture
def strict(storage: SqlStorage) -> House:
    """A college whose staff need a second factor."""
    return build(storage, "strict", second_factor=True)


def secret_in(page: str) -> str:
    return re.search(r'<figcaption class="number breaks">([A-Z2-7 ]+)</figcaption>', page)[1].replace(" ", "")


def set_up(browser: Browser, clock: Clock) -> tuple[str, list[str]]:
    """Sets the factor up; gives the secret and the codes for paper."""
    secret = secret_in(browser.get("/account/second-factor").text)
    code = pyotp.TOTP(secret).at(clock.now)
    page = browser.post("/account/second-factor", {"code": code}, page="/account/second-factor").text
    codes = re.findall(r"<li>([A-Z0-9]{4}-[A-Z0-9]{4}-[A-Z0-9]{4})</li>", page)
    assert len(codes) == 10
    return secret, codes


def test_staff_set_it_up_before_anything_else(strict: House, browser_of: Browsers, clock: Clock) -> None:
    browser = browser_of("strict-lecturer")
    assert browser.get("/organisation/groups").headers["Location"] == "/account/second-factor"
    assert browser.get("/account").headers["Location"] == "/account/second-factor"
    set_up(browser, clock)
    assert browser.get("/organisation/groups").status_code == 200


def test_learners_are_not_asked_for_one(strict: House, browser_of: Browsers) -> None:
    assert browser_of("strict-learner").get("/account").status_code == 200


def test_after_the_password_nothing_opens_before_the_code(strict: House, browser_of: Browsers, clock: Clock) -> None:
    secret, _ = set_up(browser_of("strict-lecturer"), clock)
    clock.pass_by(timedelta(minutes=1))
    browser = browser_of("strict-lecturer")
    for path in ("/organisation/groups", "/account", "/account/second-factor"):
        assert browser.get(path).headers["Location"] == "/sign-in/code"
    wrong = browser.post("/sign-in/code", {"code": "000000"}, page="/sign-in/code")
    assert wrong.status_code == 400
    code = pyotp.TOTP(secret).at(clock.now)
    assert browser.post("/sign-in/code", {"code": code}, page="/sign-in/code").status_code == 303
    assert browser.get("/organisation/groups").status_code == 200


def test_the_session_that_gave_only_the_password_practises_as_nobody(
    strict: House, browser_of: Browsers, clock: Clock
) -> None:
    set_up(browser_of("strict-lecturer"), clock)
    browser = browser_of("strict-lecturer")
    assert "Sign in</a>" in browser.get("/progress").text


def test_no_code_is_good_twice(strict: House, browser_of: Browsers, clock: Clock) -> None:
    """RFC 6238, section 5.2: a verifier takes a code once only."""
    secret, _ = set_up(browser_of("strict-lecturer"), clock)
    code = pyotp.TOTP(secret).at(clock.now)
    # The code that set it up counts as used.
    browser = browser_of("strict-lecturer")
    assert browser.post("/sign-in/code", {"code": code}, page="/sign-in/code").status_code == 400


def test_the_token_changes_with_the_second_factor(strict: House, browser_of: Browsers, clock: Clock) -> None:
    secret, _ = set_up(browser_of("strict-lecturer"), clock)
    clock.pass_by(timedelta(minutes=1))
    browser = browser_of("strict-lecturer")
    before = browser.client.get_cookie("trainer").value
    browser.post("/sign-in/code", {"code": pyotp.TOTP(secret).at(clock.now)}, page="/sign-in/code")
    browser.client.set_cookie("trainer", before)
    assert browser.get("/account").headers["Location"].startswith("/sign-in?")


def test_a_code_from_paper_lets_in_once(strict: House, browser_of: Browsers, clock: Clock) -> None:
    _, codes = set_up(browser_of("strict-lecturer"), clock)
    first, second = browser_of("strict-lecturer"), browser_of("strict-lecturer")
    assert first.post("/sign-in/code", {"code": codes[0].lower()}, page="/sign-in/code").status_code == 303
    assert second.post("/sign-in/code", {"code": codes[0]}, page="/sign-in/code").status_code == 400
    assert "Unused codes on paper: 9." in first.get("/account/second-factor").text


def plainly_hashed(codes: list[str]) -> list[str]:
    return [hashlib.sha256(code.replace("-", "").encode()).hexdigest() for code in codes]


def test_codes_on_paper_are_kept_slowly_hashed(
    strict: House, browser_of: Browsers, storage: SqlStorage, clock: Clock
) -> None:
    """OWASP ASVS 5.0.0, 6.5.2: 54 bits can be tried out by whoever has the database and a fast hash."""
    _, codes = set_up(browser_of("strict-lecturer"), clock)
    with storage.database.reading() as session:
        kept = set(session.scalars(select(RecoveryCodeRow.code_hash)))
    assert len(kept) == 10
    assert kept.isdisjoint(plainly_hashed(codes))


def test_a_code_that_an_earlier_version_kept_lets_in_once(
    strict: House, browser_of: Browsers, storage: SqlStorage, clock: Clock
) -> None:
    _, codes = set_up(browser_of("strict-lecturer"), clock)
    with storage.scopes(people_repositories).writing() as stored:
        stored.second_factors.set_recovery_codes("strict-lecturer", plainly_hashed(codes))
    tries = [
        browser_of("strict-lecturer").post("/sign-in/code", {"code": codes[3]}, page="/sign-in/code").status_code
        for _ in range(2)
    ]
    assert tries == [303, 400]


def test_new_codes_for_paper_end_the_earlier_ones(strict: House, browser_of: Browsers, clock: Clock) -> None:
    browser = browser_of("strict-lecturer")
    _, codes = set_up(browser, clock)
    browser.post("/account/second-factor/codes", {"password": PASSWORD}, page="/account/second-factor")
    other = browser_of("strict-lecturer")
    assert other.post("/sign-in/code", {"code": codes[0]}, page="/sign-in/code").status_code == 400


def test_five_wrong_codes_and_the_session_rests(strict: House, browser_of: Browsers, clock: Clock) -> None:
    secret, _ = set_up(browser_of("strict-lecturer"), clock)
    browser = browser_of("strict-lecturer")
    for _ in range(5):
        browser.post("/sign-in/code", {"code": "000000"}, page="/sign-in/code")
    clock.pass_by(timedelta(minutes=1))
    right = pyotp.TOTP(secret).at(clock.now)
    assert browser.post("/sign-in/code", {"code": right}, page="/sign-in/code").status_code == 429


def test_the_secret_is_nowhere_in_the_database(
    strict: House, browser_of: Browsers, clock: Clock, storage: SqlStorage
) -> None:
    import base64

    from sqlalchemy import text

    secret, codes = set_up(browser_of("strict-lecturer"), clock)
    with storage.database.reading() as session:
        tables = ("second_factor", "recovery_code", "audit_entry", "person", "signed_in")
        rows = str([session.execute(text(f"SELECT * FROM {table}")).all() for table in tables])
    assert secret not in rows
    assert base64.b32decode(secret).hex() not in rows
    assert not any(code in rows or code.replace("-", "") in rows for code in codes)


def test_it_is_taken_away_with_the_password_only(strict: House, browser_of: Browsers, clock: Clock) -> None:
    browser = browser_of("strict-lecturer")
    set_up(browser, clock)
    page = "/account/second-factor"
    assert browser.post(f"{page}/remove", {"password": "wrong wrong wrong"}, page=page).status_code == 400
    assert browser.post(f"{page}/remove", {"password": PASSWORD}, page=page).status_code == 303
    assert browser.get("/organisation/groups").headers["Location"] == "/account/second-factor"


def test_the_picture_holds_the_address_that_the_secret_makes(strict: House, browser_of: Browsers, clock: Clock) -> None:
    """The drawing is compared with one made anew from the address in the published form of such addresses."""
    import segno

    browser = browser_of("strict-lecturer")
    page = browser.get("/account/second-factor").text
    address = (
        f"otpauth://totp/Protection%20Trainer:strict-lecturer?secret={secret_in(page)}&issuer=Protection%20Trainer"
    )
    drawn = segno.make(address, error="m", micro=False).symbol_size(border=4)[0]
    assert f'viewBox="0 0 {drawn} {drawn}"' in page
    assert page.count('class="code"') == 1
