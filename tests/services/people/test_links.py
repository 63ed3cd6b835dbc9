"""Links that work once and for an hour: by hand from docs/accounts.md, over plain lists in place of a database."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from itertools import count
from typing import Any

import pytest

from tests.services.people.test_sessions import AS_STAFF, standing
from tests.services.sittings.world import college, here
from tests.web.conftest import NOON
from tests.web.people.conftest import CHEAP, PASSWORD, member, person
from trainer.services.operation.audit import AuditEvent
from trainer.services.people.errors import AccountError, LinkError
from trainer.services.people.links import Links
from trainer.services.people.records import Member, Person, Session, Token
from trainer.services.people.secrets import hash_of
from trainer.services.people.words import MemberState, Role, TokenPurpose

ADMINISTRATOR = replace(here("boss"), roles=frozenset({Role.ADMINISTRATOR}))
HOUR, SECOND = timedelta(hours=1), timedelta(seconds=1)
MAIL = "ann@example.org"
INVITED = member("m", "college", Role.LEARNER, display_name="Ann", email=MAIL, state=MemberState.INVITED)
JOINED = member("j", "college", Role.LEARNER, person_id="joan")


@dataclass
class Shelf:
    """Everything that the use cases ask of storage."""

    people_held: dict[str, Person] = field(default_factory=lambda: {"joan": person("joan")})
    belongs: dict[str, Member] = field(default_factory=lambda: {"m": INVITED, "j": JOINED})
    links: dict[str, Token] = field(default_factory=dict)
    ended: list[tuple[str, str | None]] = field(default_factory=list)
    begun: list[Session] = field(default_factory=list)
    works: list[tuple[str, str]] = field(default_factory=list)
    events: list[AuditEvent] = field(default_factory=list)

    @contextmanager
    def writing(self) -> Iterator[Shelf]:
        yield self

    reading = writing

    def __getattr__(self, name: str) -> Any:
        kinds: dict[str, Callable[[Shelf], Any]] = {
            "people": _People, "members": _Members, "tokens": _Tokens, "sessions": _Sessions, "organisations": _Colleges
        }  # fmt: skip
        return self if name == "audit" else kinds[name](self)

    def hold(self) -> None:
        """Nobody else writes."""

    def append(self, event: AuditEvent) -> None:
        self.events.append(event)


@dataclass
class _Part:
    shelf: Shelf


class _People(_Part):
    def get(self, person_id: str) -> Person | None:
        return self.shelf.people_held.get(person_id)

    def by_sign_in_name(self, name: str) -> Person | None:
        return next((each for each in self.shelf.people_held.values() if each.sign_in_name == name), None)

    def by_email(self, address: str) -> list[Person]:
        return [each for each in self.shelf.people_held.values() if each.email == address]

    def add(self, new: Person) -> bool:
        if self.by_sign_in_name(new.sign_in_name):
            return False
        self.shelf.people_held[new.id] = new
        return True

    def change(self, person_id: str, **values: Any) -> None:
        self.shelf.people_held[person_id] = replace(self.shelf.people_held[person_id], **values)


class _Members(_Part):
    def get(self, organisation_id: str, member_id: str) -> Member | None:
        found = self.find(member_id)
        return found if found and found.organisation_id == organisation_id else None

    def find(self, member_id: str) -> Member | None:
        return self.shelf.belongs.get(member_id)

    def of_person(self, person_id: str) -> list[Any]:
        own = [each for each in self.shelf.belongs.values() if each.person_id == person_id]
        return [_Membership(each.id, each.organisation_id, each.roles) for each in own]

    def change(self, joined: Member) -> bool:
        places = {(each.organisation_id, each.person_id) for each in self.shelf.belongs.values()}
        if (joined.organisation_id, joined.person_id) in places:
            return False
        self.shelf.belongs[joined.id] = joined
        return True


@dataclass
class _Membership:
    member_id: str
    organisation_id: str
    roles: frozenset[Role]


class _Tokens(_Part):
    def add(self, token: Token) -> None:
        self.shelf.links[token.token_hash] = token

    def get(self, token_hash: str) -> Token | None:
        return self.shelf.links.get(token_hash)

    def use(self, token_hash: str, at: datetime) -> bool:
        if self.shelf.links[token_hash].used_at:
            return False
        self.shelf.links[token_hash] = replace(self.shelf.links[token_hash], used_at=at)
        return True


class _Sessions(_Part):
    def add(self, session: Session) -> None:
        self.shelf.begun.append(session)

    def revoke_all(self, person_id: str, _at: datetime, but: str | None = None) -> None:
        self.shelf.ended.append((person_id, but))

    def work_in(self, session_id: str, member_id: str) -> None:
        self.shelf.works.append((session_id, member_id))


class _Colleges(_Part):
    def get(self, organisation_id: str) -> Any:
        return None if organisation_id == "gone" else college(organisation_id)


def desk(shelf: Shelf, after: timedelta = timedelta()) -> Links:
    ids = count(1)
    return Links(
        storage=shelf,  # type: ignore[arg-type]
        standings=shelf,  # type: ignore[arg-type]
        now=lambda: NOON + after,
        new_id=lambda: f"new-{next(ids)}",
        hasher=CHEAP,
        secret_key="key",
    )


ACCOUNT = {"name": "", "display_name": "Ann A.", "password": "Long enough a phrase", "device": "phone"}


def test_an_invitation_names_where_it_goes_and_makes_one_account_under_that_address() -> None:
    shelf = Shelf()
    link = desk(shelf).invite(ADMINISTRATOR, "m")
    assert (link.email, link.name, link.expires_at) == (MAIL, "Ann", NOON + HOUR)
    assert set(shelf.links) == {hash_of(link.token)}
    leads = desk(shelf).invitation_of(link.token)
    assert (leads.sign_in_name, leads.organisation_name, leads.has_account) == (MAIL, "The college", False)
    signed = desk(shelf).accept(link.token, **{**ACCOUNT, "name": "another"})
    assert (signed.person.sign_in_name, signed.person.email, signed.person.display_name) == (MAIL, MAIL, "Ann A.")
    assert (signed.person.is_operator, signed.person.password_changed_at) == (False, NOON)
    assert CHEAP.verify(signed.person.password_hash, "Long enough a phrase")
    joined = shelf.belongs["m"]
    assert (joined.person_id, joined.state) == (signed.person.id, MemberState.ACTIVE)
    assert [each.member_id for each in shelf.begun] == ["m"]
    assert [each.action for each in shelf.events] == [
        "member.invited", "person.made", "member.joined", "person.signed_in"
    ]  # fmt: skip
    with pytest.raises(LinkError):
        desk(shelf).accept(link.token, **ACCOUNT)


def test_without_an_address_a_name_is_chosen_that_is_not_taken() -> None:
    shelf = Shelf(belongs={"m": replace(INVITED, email=None), "j": JOINED})
    link = desk(shelf).invite(ADMINISTRATOR, "m")
    assert link.email is None
    assert desk(shelf).invitation_of(link.token).sign_in_name is None
    with pytest.raises(AccountError, match="taken"):
        desk(shelf).accept(link.token, **{**ACCOUNT, "name": "joan"})


@pytest.mark.parametrize(
    ("after", "is_good"), [(0 * HOUR, True), (HOUR - SECOND, True), (HOUR, False), (HOUR + SECOND, False)]
)
def test_a_link_is_good_for_less_than_an_hour(after: timedelta, *, is_good: bool) -> None:
    shelf = Shelf(people_held={"joan": person("joan", email=MAIL)})
    links = (desk(shelf).invite(ADMINISTRATOR, "m").token, desk(shelf).ask_for_reset("joan")[0].token)
    for look, token in zip((desk(shelf, after).invitation_of, desk(shelf, after).reset_of), links, strict=True):
        if is_good:
            assert look(token)
            continue
        with pytest.raises(LinkError):
            look(token)


def test_a_link_serves_its_own_purpose_only_and_an_invented_one_none() -> None:
    shelf = Shelf(people_held={"joan": person("joan", email=MAIL)})
    invitation, reset = desk(shelf).invite(ADMINISTRATOR, "m").token, desk(shelf).ask_for_reset("joan")[0].token
    for look, token in (
        (desk(shelf).invitation_of, reset),
        (desk(shelf).reset_of, invitation),
        (desk(shelf).invitation_of, "invented"),
        (desk(shelf).reset_of, "invented"),
    ):
        with pytest.raises(LinkError):
            look(token)


def test_only_who_never_came_is_invited_and_by_the_own_organisation() -> None:
    for state in set(MemberState) - {MemberState.INVITED}:
        with pytest.raises(AccountError, match="has an account already, or left"):
            desk(Shelf(belongs={"m": replace(INVITED, state=state)})).invite(ADMINISTRATOR, "m")
    for name in ("unknown", "m"):
        with pytest.raises(AccountError):
            desk(Shelf(belongs={"m": replace(INVITED, organisation_id="firm")})).invite(ADMINISTRATOR, name)


def test_an_invitation_leads_nowhere_once_its_member_left_or_came() -> None:
    for state in set(MemberState) - {MemberState.INVITED}:
        shelf = Shelf()
        link = desk(shelf).invite(ADMINISTRATOR, "m")
        shelf.belongs["m"] = replace(INVITED, state=state)
        with pytest.raises(LinkError):
            desk(shelf).invitation_of(link.token)


def test_an_invitation_to_an_organisation_that_is_gone_leads_nowhere() -> None:
    shelf = Shelf()
    link = desk(shelf).invite(ADMINISTRATOR, "m")
    shelf.belongs["m"] = replace(INVITED, organisation_id="gone")
    with pytest.raises(LinkError):
        desk(shelf).invitation_of(link.token)


@pytest.mark.parametrize(("address", "known"), [(MAIL, True), ("other@example.org", False), (None, False)])
def test_an_invitation_says_whether_there_is_an_account_of_its_address(address: str | None, *, known: bool) -> None:
    shelf = Shelf(
        people_held={MAIL: person(MAIL, email=MAIL)}, belongs={"m": replace(INVITED, email=address), "j": JOINED}
    )
    assert desk(shelf).invitation_of(desk(shelf).invite(ADMINISTRATOR, "m").token).has_account is known


def test_an_account_that_is_signed_in_takes_an_invitation_up_once() -> None:
    shelf = Shelf()
    token = desk(shelf).invite(ADMINISTRATOR, "m").token
    signed = standing(AS_STAFF)
    assert desk(shelf).accept_with_account(token, signed) == "m"
    assert (shelf.belongs["m"].person_id, shelf.works) == ("ann", [("s", "m")])
    with pytest.raises(LinkError):
        desk(shelf).accept_with_account(token, signed)


def test_nobody_joins_an_organisation_twice() -> None:
    shelf = Shelf()
    token = desk(shelf).invite(ADMINISTRATOR, "m").token
    joan = replace(standing(AS_STAFF), person=person("joan"))
    with pytest.raises(AccountError, match="in the organisation already"):
        desk(shelf).accept_with_account(token, joan)


def test_the_link_of_a_new_operator_sets_the_password_of_that_account_and_joins_nothing() -> None:
    shelf = Shelf(people_held={"olga": person("olga", is_operator=True, password_hash=None)})
    link = desk(shelf).operator_invitation(shelf.people_held["olga"])
    leads = desk(shelf).invitation_of(link.token)
    assert (leads.sign_in_name, leads.has_account) == ("olga", False)
    # Though it names an account, it is no link for a new password.
    for look in (desk(shelf).reset_of, lambda token: desk(shelf).reset(token, "Long enough a phrase")):
        with pytest.raises(LinkError):
            look(link.token)
    with pytest.raises(LinkError):
        desk(shelf).accept_with_account(link.token, standing(AS_STAFF))
    signed = desk(shelf).accept(link.token, **ACCOUNT)
    assert (signed.person.id, shelf.people_held["olga"].display_name) == ("olga", "Ann A.")
    assert shelf.ended == [("olga", None)]
    assert shelf.belongs["m"] == INVITED


def test_a_new_password_goes_to_every_account_of_a_name_or_address_that_can_get_mail() -> None:
    held = {
        "joan": person("joan", email=MAIL),
        "anna": person("anna", email=MAIL),
        "mute": person("mute"),
        MAIL: person(MAIL, email=MAIL),
    }
    asked = [
        ("joan", 1), (" JOAN ", 1), ("mute", 0), ("nobody", 0), (MAIL, 3)
    ]  # fmt: skip
    for typed, links in asked:
        assert len(desk(Shelf(people_held=held)).ask_for_reset(typed)) == links, typed


def test_a_new_password_ends_all_sessions_and_its_link() -> None:
    shelf = Shelf(people_held={"joan": person("joan", email=MAIL)})
    link = desk(shelf).ask_for_reset("joan")[0]
    assert (link.email, link.name) == (MAIL, "Joan")
    changed = desk(shelf).reset(link.token, "Long enough a phrase")
    assert CHEAP.verify(changed.password_hash, "Long enough a phrase")
    assert shelf.people_held["joan"].password_hash == changed.password_hash
    assert not CHEAP.verify(changed.password_hash, PASSWORD)
    assert shelf.ended == [("joan", None)]
    with pytest.raises(LinkError):
        desk(shelf).reset(link.token, "Long enough another")


def test_a_link_is_handed_over_for_a_learner_without_address_or_other_duties_only() -> None:
    shelf = Shelf()
    link = desk(shelf).reset_by_hand(ADMINISTRATOR, "j")
    assert (link.email, shelf.links[hash_of(link.token)].purpose) == (None, TokenPurpose.RESET)
    assert desk(shelf).reset_of(link.token).id == "joan"
    elsewhere = replace(JOINED, id="k", organisation_id="firm")
    for other in (
        Shelf(people_held={"joan": person("joan", email=MAIL)}),
        Shelf(people_held={"joan": person("joan", is_operator=True)}),
        Shelf(belongs={"j": JOINED, "k": elsewhere}),
        *(Shelf(belongs={"j": replace(JOINED, roles=frozenset({role}))}) for role in set(Role) - {Role.LEARNER}),
    ):
        with pytest.raises(AccountError, match="must ask for a new password"):
            desk(other).reset_by_hand(ADMINISTRATOR, "j")
    for nobody, name in ((Shelf(), "m"), (Shelf(), "unknown"), (Shelf(people_held={}), "j")):
        with pytest.raises(AccountError, match="no account yet"):
            desk(nobody).reset_by_hand(ADMINISTRATOR, name)
