"""Signing in and the sessions that come of it, over plain lists instead of a database; times as in docs/accounts.md."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

import pytest

from tests.services.people.test_links import Shelf, _People, _Sessions
from tests.services.people.test_sessions import AS_STAFF, standing
from tests.web.conftest import NOON
from tests.web.people.conftest import CHEAP, PASSWORD, member, person
from trainer.services.people.errors import AccountError, PasswordError
from trainer.services.people.hashing import Argon2
from trainer.services.people.records import Person, Session
from trainer.services.people.secrets import hash_of
from trainer.services.people.signing_in import SigningIn
from trainer.services.people.words import Role

DAY, HOUR = timedelta(days=1), timedelta(hours=1)
NEW = "orchard gravel pencil tide"


@dataclass
class _Accounts(_People):
    def signed_in(self, person_id: str, at: datetime, *, password_hash: str) -> Person | None:
        held = self.shelf.people_held[person_id]
        if held.password_hash != password_hash:
            return None
        self.change(person_id, last_signed_in_at=at)
        return self.shelf.people_held[person_id]


@dataclass
class _SignedIn(_Sessions):
    def of_person(self, person_id: str) -> list[Session]:
        return [each for each in self.shelf.begun if each.person_id == person_id]

    def revoke(self, person_id: str, session_id: str, _at: datetime) -> bool:
        known = [each for each in self.of_person(person_id) if each.id == session_id]
        self.shelf.begun = [each for each in self.shelf.begun if each not in known]
        return bool(known)

    def revoke_all(self, person_id: str, _at: datetime, but: str | None = None) -> int:
        self.shelf.ended.append((person_id, but))
        return 3

    def rotate(self, session_id: str, token_hash: str, *, second_factor_at: datetime | None) -> None:
        self.shelf.works.append((session_id, f"{token_hash} {second_factor_at}"))


class Site(Shelf):
    """A site with a learner, a lecturer and an operator."""

    def __getattr__(self, name: str) -> Any:
        kinds = {"people": _Accounts, "sessions": _SignedIn}
        return kinds[name](self) if name in kinds else super().__getattr__(name)


def site(**accounts: object) -> Site:
    held = {"joan": person("joan", **accounts), "lee": person("lee"), "olga": person("olga", is_operator=True)}
    belongs = {
        "j": member("j", "college", Role.LEARNER, person_id="joan"),
        "l": member("l", "college", Role.LECTURER, person_id="lee"),
        "k": member("k", "firm", Role.LEARNER, person_id="lee"),
    }
    return Site(people_held=held, belongs=belongs)


def desk(shelf: Site, *, hasher: Argon2 = CHEAP) -> SigningIn:
    return SigningIn(
        storage=shelf,  # type: ignore[arg-type]
        standings=shelf,  # type: ignore[arg-type]
        now=lambda: NOON,
        new_id=lambda: "new",
        hasher=hasher,
        secret_key="key",
    )


@pytest.mark.parametrize(("name", "lasts"), [("joan", 30 * DAY), (" LEE ", 12 * HOUR), ("olga", 12 * HOUR)])
def test_whoever_signs_in_gets_a_session_as_long_as_the_role_allows(name: str, lasts: timedelta) -> None:
    shelf = site()
    signed = desk(shelf).sign_in(name, PASSWORD, "x" * 201)
    assert signed is not None
    session = signed.session
    assert (session.token_hash, session.device) == (hash_of(signed.token), "x" * 200)
    assert (session.created_at, session.last_seen_at, session.expires_at) == (NOON, NOON, NOON + lasts)
    assert shelf.begun == [session]
    assert shelf.people_held[session.person_id].last_signed_in_at == NOON
    # The first of several organisations; an operator works in none.
    assert session.member_id == {"joan": "j", "lee": "l", "olga": None}[session.person_id]
    assert [each.action for each in shelf.events] == ["person.signed_in"]


@pytest.mark.parametrize(("name", "password"), [("nobody", PASSWORD), ("joan", "another"), ("", ""), ("joan", "")])
def test_an_unknown_name_and_a_wrong_password_begin_nothing(name: str, password: str) -> None:
    shelf = site()
    assert desk(shelf).sign_in(name, password, "") is None
    assert (shelf.begun, shelf.events) == ([], [])


def test_an_account_without_a_password_lets_nobody_in() -> None:
    assert desk(site(password_hash=None)).sign_in("joan", PASSWORD, "") is None


def test_a_hash_of_older_parameters_is_made_anew_and_another_is_left_as_it_is() -> None:
    newer = Argon2(iterations=2, memory_kib=8)
    for hasher, changes in ((CHEAP, False), (newer, True)):
        shelf = site()
        before = shelf.people_held["joan"].password_hash
        assert desk(shelf, hasher=hasher).sign_in("joan", PASSWORD, "")
        after = shelf.people_held["joan"].password_hash
        assert (after != before) == changes
        assert hasher.verify(after, PASSWORD)
        assert not hasher.is_outdated(str(after))


def test_sessions_that_ran_out_are_not_listed() -> None:
    shelf = site()
    began = standing(AS_STAFF).session
    shelf.begun = [
        replace(began, id=str(left), person_id="joan", expires_at=NOON + timedelta(seconds=left)) for left in (-1, 0, 1)
    ]
    assert [each.id for each in desk(shelf).sessions(shelf.people_held["joan"])] == ["1"]


def test_a_person_ends_own_sessions_only_and_what_was_ended_is_noted() -> None:
    shelf = site()
    shelf.begun = [replace(standing(AS_STAFF).session, person_id="joan")]
    assert not desk(shelf).revoke(shelf.people_held["lee"], "s")
    assert not desk(shelf).revoke(shelf.people_held["joan"], "unknown")
    assert shelf.events == []
    desk(shelf).sign_out(replace(standing(AS_STAFF), person=shelf.people_held["joan"]))
    assert (shelf.begun, [each.action for each in shelf.events]) == ([], ["person.session_ended"])


def test_all_other_sessions_end_at_once() -> None:
    shelf = site()
    assert desk(shelf).revoke_others(standing(AS_STAFF)) == 3
    assert shelf.ended == [("ann", "s")]
    assert shelf.events[0].facts == {"others": 3}


def test_a_person_works_where_that_person_is_a_member() -> None:
    shelf = site()
    lee = replace(standing(AS_STAFF), person=shelf.people_held["lee"])
    assert desk(shelf).work_in(lee, "k")
    assert not desk(shelf).work_in(lee, "j")
    assert not desk(shelf).work_in(lee, "unknown")
    assert shelf.works == [("s", "k")]


def test_a_changed_password_ends_the_other_sessions_and_renews_this_one_with_its_code() -> None:
    shelf = site()
    joan = replace(standing(AS_STAFF), person=shelf.people_held["joan"])
    coded = replace(joan, session=replace(joan.session, second_factor_at=NOON - HOUR))
    with pytest.raises(AccountError, match="password of this account"):
        desk(shelf).change_password(coded, "another", NEW)
    with pytest.raises(PasswordError):
        desk(shelf).change_password(coded, PASSWORD, "short")
    assert (shelf.ended, shelf.works) == ([], [])
    token = desk(shelf).change_password(coded, PASSWORD, NEW)
    held = shelf.people_held["joan"]
    assert (CHEAP.verify(held.password_hash, NEW), held.password_changed_at) == (True, NOON)
    assert shelf.ended == [("joan", "s")]
    assert shelf.works == [("s", f"{hash_of(token)} {NOON - HOUR}")]
