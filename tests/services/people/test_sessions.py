"""When a session ends, and when a password is asked for again; the times are those of docs/accounts.md, by hand."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from typing import Any

import pytest

from tests.web.conftest import NOON
from tests.web.people.conftest import CHEAP, PASSWORD, member, person
from trainer.services.people.errors import AccountError
from trainer.services.people.records import Session, Standing
from trainer.services.people.second_factor import SecondFactors
from trainer.services.people.signing_in import SigningIn, ends_at, idle_limit
from trainer.services.people.words import Role

HOUR, DAY = timedelta(hours=1), timedelta(days=1)
AS_STAFF, AS_LEARNER = 12 * HOUR, 30 * DAY
STAFF = (Role.LECTURER, Role.TRAINING_MANAGER, Role.ADMINISTRATOR)


def standing(lasts: timedelta, *roles: Role, seen: timedelta = timedelta(), is_operator: bool = False) -> Standing:
    """Somebody whose session began at noon, lasts so long at most, and was last seen so much later."""
    session = Session(
        id="s", token_hash="h", person_id="ann", member_id="ann", device="", created_at=NOON,
        last_seen_at=NOON + seen, expires_at=NOON + lasts,
    )  # fmt: skip
    own = member("ann", "college", roles[0]) if roles else None
    return Standing(
        session=session,
        person=person("ann", is_operator=is_operator),
        has_second_factor=False,
        member=own,
        organisation=None,
    )


@pytest.mark.parametrize(("seen", "ends"), [(0 * DAY, 7 * DAY), (22 * DAY, 29 * DAY), (29 * DAY, 30 * DAY)])
def test_a_session_of_a_learner_ends_after_seven_idle_days_or_thirty(seen: timedelta, ends: timedelta) -> None:
    for roles in ((Role.LEARNER,), ()):
        assert ends_at(standing(AS_LEARNER, *roles, seen=seen)) == NOON + ends


@pytest.mark.parametrize("role", STAFF)
@pytest.mark.parametrize(("seen", "ends"), [(0 * HOUR, 2), (9 * HOUR, 11), (11 * HOUR, 12)])
def test_a_session_of_staff_ends_after_two_idle_hours_or_twelve(role: Role, seen: timedelta, ends: int) -> None:
    # Also one that its owner began as a learner.
    for lasts in (AS_STAFF, AS_LEARNER):
        assert ends_at(standing(lasts, role, seen=seen)) == NOON + ends * HOUR


def test_an_operator_is_held_to_the_times_of_staff() -> None:
    assert ends_at(standing(AS_LEARNER, Role.LEARNER, is_operator=True)) == NOON + 2 * HOUR
    assert ends_at(standing(AS_LEARNER, seen=13 * HOUR, is_operator=True)) == NOON + 12 * HOUR


def test_a_session_that_began_as_one_of_staff_stays_short() -> None:
    for short in (HOUR, AS_STAFF):
        assert idle_limit(standing(short, Role.LEARNER)) == 2 * HOUR
    assert idle_limit(standing(AS_STAFF + timedelta(seconds=1), Role.LEARNER)) == 7 * DAY


class Shelf:
    """Whose session it is, and what was noted of it."""

    def __init__(self, found: Standing | None) -> None:
        self.found, self.noted, self.audit, self.sessions = found, [], self, self
        self.second_factors = self

    @contextmanager
    def writing(self) -> Iterator[Shelf]:
        yield self

    def standing(self, _token_hash: str) -> Standing | None:
        return self.found

    def seen(self, session_id: str, at: datetime) -> None:
        self.noted.append((session_id, at))

    def hold(self) -> None:
        """Nobody else writes."""

    def get(self, _person_id: str) -> None:
        return None


def desk(kind: type[Any], shelf: Shelf, now: datetime) -> Any:
    return kind(
        storage=shelf,
        standings=shelf,
        now=lambda: now,
        new_id=lambda: "new",
        hasher=CHEAP,
        secret_key="secret",
    )


def test_a_token_is_good_until_its_session_ends_and_not_at_that_moment() -> None:
    shelf = Shelf(standing(AS_LEARNER, Role.LECTURER))
    assert desk(SigningIn, shelf, NOON + 2 * HOUR - timedelta(seconds=1)).standing("token") is shelf.found
    for late in (0 * HOUR, timedelta(seconds=1), 100 * DAY):
        assert desk(SigningIn, shelf, NOON + 2 * HOUR + late).standing("token") is None
    assert desk(SigningIn, Shelf(None), NOON).standing("token") is None


@pytest.mark.parametrize(("passed_s", "noted"), [(0, False), (299, False), (300, True), (3600, True)])
def test_use_is_noted_once_in_five_minutes(passed_s: int, *, noted: bool) -> None:
    shelf, now = Shelf(None), NOON + timedelta(seconds=passed_s)
    desk(SigningIn, shelf, now).seen(standing(AS_LEARNER, Role.LEARNER))
    assert shelf.noted == ([("s", now)] if noted else [])


@pytest.mark.parametrize(("passed_s", "asked"), [(0, False), (899, False), (900, True), (901, True)])
def test_a_second_factor_is_set_up_without_the_password_for_a_quarter_of_an_hour(passed_s: int, *, asked: bool) -> None:
    use = desk(SecondFactors, Shelf(None), NOON + timedelta(seconds=passed_s))
    of = standing(AS_STAFF, Role.LECTURER)
    assert use.asks_for_password(of) is asked
    # A wrong password is told only where one is asked for; past it the code is looked at, and there is no factor yet.
    with pytest.raises(AccountError, match="password of this account" if asked else "code of this moment"):
        use.confirm(of, "123456", "not the password")
    with pytest.raises(AccountError, match="code of this moment"):
        use.confirm(of, "123456", PASSWORD)
