"""A second factor that was lost with its device: who may take it away, and who may not.

Source: OWASP ASVS 5.0.0, 6.4.4; NIST SP 800-63B, 6.1.2.3 (an account whose authenticators are lost is proven anew).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pyotp
import pytest
from click.testing import CliRunner
from sqlalchemy import select

from tests.security.test_guessing import FACTOR, set_up
from tests.web.conftest import NOON, settings
from tests.web.people.conftest import Browser, Clock, House, app, box, browser_of, clock, college, firm, member
from trainer.cli.main import main
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.operation import AuditRow
from trainer.services.people.words import Role

__all__ = ["app", "box", "browser_of", "clock", "college", "firm", "settings"]

Browsers = Callable[..., Browser]
LECTURER, ADMINISTRATOR = "college-lecturer", "college-administrator"
PAGE = f"/organisation/people/{LECTURER}"


def has_factor(storage: SqlStorage, person_id: str) -> bool:
    with storage.scopes(people_repositories).reading() as stored:
        return stored.second_factors.get(person_id) is not None


def test_an_administrator_takes_it_away_and_its_owner_sets_up_another(
    college: House, storage: SqlStorage, browser_of: Browsers, clock: Clock
) -> None:
    before = browser_of(LECTURER)
    set_up(before, clock)
    administrator = browser_of(ADMINISTRATOR)
    assert "Take the second factor away" in administrator.get(PAGE).text
    done = administrator.post(f"{PAGE}/second-factor", page=PAGE)
    assert (done.status_code, has_factor(storage, LECTURER)) == (303, False)
    assert "Take the second factor away" not in administrator.get(PAGE).text
    # Whoever has the lost device may be signed in with it.
    assert before.get("/account").headers["Location"].startswith("/sign-in?")
    assert 'class="code"' in browser_of(LECTURER).get(FACTOR).text


def test_what_was_done_stands_in_the_log(
    college: House, storage: SqlStorage, browser_of: Browsers, clock: Clock
) -> None:
    set_up(browser_of(LECTURER), clock)
    browser_of(ADMINISTRATOR).post(f"{PAGE}/second-factor", page=PAGE)
    with storage.database.reading() as session:
        rows = session.execute(
            select(AuditRow.action, AuditRow.actor_id, AuditRow.subject_id, AuditRow.organisation_id)
        ).all()
    assert ("member.second_factor_taken_away", ADMINISTRATOR, LECTURER, "college") in [tuple(row) for row in rows]


@pytest.mark.parametrize("who", [Role.LEARNER, Role.LECTURER, Role.TRAINING_MANAGER])
def test_nobody_else_takes_it_away(
    college: House, storage: SqlStorage, browser_of: Browsers, clock: Clock, who: Role
) -> None:
    set_up(browser_of(LECTURER), clock)
    clock.pass_by(timedelta(minutes=1))
    other = browser_of("college-learner" if who is Role.LECTURER else college.member(who))
    assert other.post(f"{PAGE}/second-factor", page="/join").status_code == 403
    assert has_factor(storage, LECTURER)


def test_an_administrator_does_not_reach_into_another_organisation_or_the_site(
    college: House, firm: House, storage: SqlStorage, browser_of: Browsers, clock: Clock
) -> None:
    """The factor is that of the whole account: it also guards what its owner does elsewhere."""
    set_up(browser_of(LECTURER), clock)
    set_up(browser_of("college-learner"), clock)
    with storage.scopes(people_repositories).writing() as stored:
        stored.members.add(member("guest", "firm", Role.ADMINISTRATOR, person_id=LECTURER))
        stored.people.change("college-learner", is_operator=True)
    administrator = browser_of(ADMINISTRATOR)
    for owner in (LECTURER, "college-learner"):
        answer = administrator.post(f"/organisation/people/{owner}/second-factor", page=PAGE)
        assert answer.status_code == 400
        assert "whoever runs the site" in answer.text
        assert has_factor(storage, owner)
    foreign = browser_of("firm-administrator").post("/organisation/people/college-learner/second-factor", page="/join")
    assert foreign.status_code == 404


def test_whoever_runs_the_site_takes_it_away_by_a_command(tmp_path: Path) -> None:
    data = str(tmp_path / "data")

    def run(*words: str) -> tuple[int, str]:
        answer = CliRunner().invoke(main, ["operator", *words, "--data", data])
        return answer.exit_code, answer.output

    run("boss")
    code, told = run("boss", "--lost-device")
    assert (code, "has no second factor" in told) == (2, True)
    code, told = run("nobody", "--lost-device")
    assert (code, "nobody" in told) == (2, True)


def test_the_command_ends_the_sessions_of_the_account_and_makes_nobody_an_operator(
    college: House, storage: SqlStorage, browser_of: Browsers, clock: Clock, tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    browser = browser_of(LECTURER)
    secret, _ = set_up(browser, clock)
    assert pyotp.TOTP(secret).at(NOON)
    monkeypatch.setenv("TRAINER_DATABASE_URL", storage.database._url.render_as_string(hide_password=False))
    answer = CliRunner().invoke(main, ["operator", LECTURER, "--lost-device", "--data", str(tmp_path / "data")])
    assert (answer.exit_code, answer.output) == (0, f"{LECTURER} signs in with the password and sets up another one.\n")
    assert not has_factor(storage, LECTURER)
    assert browser.get("/account").headers["Location"].startswith("/sign-in?")
    assert not re.search("/operator/", browser_of(LECTURER).get("/").text)


def test_who_is_made_an_operator_signs_in_anew(
    college: House, storage: SqlStorage, browser_of: Browsers, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    browser = browser_of("college-learner")
    monkeypatch.setenv("TRAINER_DATABASE_URL", storage.database._url.render_as_string(hide_password=False))
    assert CliRunner().invoke(main, ["operator", "college-learner", "--data", str(tmp_path / "data")]).exit_code == 0
    assert browser.get("/account").headers["Location"].startswith("/sign-in?")
