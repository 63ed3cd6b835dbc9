"""What the use cases of people ask of storage; persistence answers it.

Whatever belongs to an organisation is asked for together with it, so that nothing can be reached
over the wall.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime
from typing import Protocol

from trainer.services.operation.audit import AuditLog
from trainer.services.people.records import (
    Group,
    GroupPlace,
    GroupSize,
    JoinCode,
    Member,
    Membership,
    Organisation,
    Person,
    Place,
    SecondFactor,
    Session,
    Standing,
    Token,
)
from trainer.services.people.words import FirstStep, GroupPart, MemberState, Role
from trainer.services.storage import Learners


class People(Protocol):
    """Accounts."""

    def add(self, person: Person) -> bool:
        """Stores a new account; False when the name to sign in with is taken."""

    def get(self, person_id: str) -> Person | None:
        """The account with this id."""

    def by_sign_in_name(self, name: str) -> Person | None:
        """The account that signs in with this name."""

    def by_email(self, email: str) -> Sequence[Person]:
        """Accounts to whose address a link may go."""

    def signed_in(self, person_id: str, at: datetime, *, password_hash: str) -> Person | None:
        """Notes when the person signed in, and gives the account, which nobody else changes before the end.

        None, and nothing noted, where this is not the stored password.
        """

    def change(self, person_id: str, **values: str | bool | datetime | None) -> None:
        """Stores what is named of the account, and nothing else: others may change the rest at the same time."""

    def operators(self) -> Sequence[Person]:
        """Those who look after the whole site."""

    def move_practice(self, learner_id: str, to_learner_id: str) -> None:
        """Lets what was practised under one learner count for another; the first is gone then."""


class Standings(Protocol):
    """Who is signed in: what every request asks first, so it is asked by itself and fast."""

    def standing(self, token_hash: str) -> Standing | None:
        """The session with this token, its person, and the organisation worked in, unless it was revoked."""


class Sessions(Protocol):
    """Who is signed in where."""

    def add(self, session: Session) -> None:
        """Stores a new session."""

    def of_person(self, person_id: str) -> Sequence[Session]:
        """All sessions of a person that were not revoked, newest first."""

    def seen(self, session_id: str, at: datetime) -> None:
        """Notes that the session was used."""

    def rotate(self, session_id: str, token_hash: str, *, second_factor_at: datetime | None) -> None:
        """Gives the session another token."""

    def work_in(self, session_id: str, member_id: str | None) -> None:
        """Chooses the organisation that the person works in."""

    def revoke(self, person_id: str, session_id: str, at: datetime) -> bool:
        """Ends one session of this person; False where there is none."""

    def revoke_all(self, person_id: str, at: datetime, *, but: str | None = None) -> int:
        """Ends all sessions of a person but one; gives their number."""


class Tokens(Protocol):
    """Links that work once."""

    def add(self, token: Token) -> None:
        """Stores a new one; earlier unused ones for the same person or member and purpose end."""

    def get(self, token_hash: str) -> Token | None:
        """The token with this hash."""

    def use(self, token_hash: str, at: datetime) -> bool:
        """Uses the token up; False when it was used, or is too old: of several at once one gets True."""


class Organisations(Protocol):
    """Colleges and firms."""

    def add(self, organisation: Organisation) -> bool:
        """Stores a new one; False when the name is taken."""

    def get(self, organisation_id: str) -> Organisation | None:
        """The organisation with this id."""

    def by_name(self, after: str, *, limit: int) -> Sequence[Organisation]:
        """Those whose names come after one, by name: for operators."""

    def change(self, organisation: Organisation) -> bool:
        """Stores the organisation as it is now; False when the name is taken."""

    def sites(self, organisation_id: str) -> Sequence[Place]:
        """Its sites by name."""

    def trade_roles(self, organisation_id: str) -> Sequence[Place]:
        """What people work as there, by name."""

    def add_site(self, site: Place) -> bool:
        """Stores a site; False when the name is taken."""

    def add_trade_role(self, role: Place) -> bool:
        """Stores what somebody works as; False when the name is taken."""

    def member_counts(self) -> Mapping[str, int]:
        """How many active members each organisation has."""


class Members(Protocol):
    """People in organisations."""

    def add(self, member: Member) -> bool:
        """Stores a new member with the roles; False when person, address or reference is there already."""

    def add_many(self, members: Sequence[Member]) -> None:
        """Stores many new members with their roles."""

    def get(self, organisation_id: str, member_id: str) -> Member | None:
        """The member with this id in this organisation."""

    def find(self, member_id: str) -> Member | None:
        """The member of whatever organisation: for invitations only, which name nothing else."""

    def display_names(self, organisation_id: str, member_ids: Collection[str]) -> Mapping[str, str]:
        """What those of this organisation are called, by id."""

    def change(self, member: Member) -> bool:
        """Stores the member as it is now with the roles; False when address or reference is another's."""

    def page(
        self,
        organisation_id: str,
        *,
        search: str = "",
        state: MemberState | None = None,
        group_id: str | None = None,
        after: tuple[str, str] | None = None,
        limit: int = 50,
    ) -> Sequence[Member]:
        """Members by sorted name, from after a (sorted name, id)."""

    def named(self, organisation_id: str, text: str) -> Sequence[Member]:
        """Members whose reference, address or whole name this is; those who left are left out."""

    def count(self, organisation_id: str, state: MemberState | None = None) -> int:
        """How many members there are."""

    def with_role(self, organisation_id: str, role: Role) -> Sequence[Member]:
        """Active members that have the role."""

    def of_person(self, person_id: str) -> Sequence[Membership]:
        """Where a person is an active member, by name of the organisation, suspended ones left out."""

    def all_in(self, organisation_id: str) -> Sequence[Member]:
        """All members, for comparing with a roster."""


class Groups(Protocol):
    """Groups of learners and their codes."""

    def add(self, group: Group) -> bool:
        """Stores a group; False when the name is taken."""

    def get(self, organisation_id: str, group_id: str) -> Group | None:
        """The group with this id in this organisation."""

    def change(self, group: Group) -> bool:
        """Stores the group as it is now; False when the name is taken."""

    def all(self, organisation_id: str, *, taught_by: str | None = None) -> Sequence[GroupSize]:
        """Groups by name with their numbers, archived last; or only those that a member teaches."""

    def of_member(self, organisation_id: str, member_id: str) -> Sequence[tuple[Group, GroupPart]]:
        """The groups of a member."""

    def put(self, places: Collection[GroupPlace]) -> None:
        """Puts members into groups; who is there already gets the new part."""

    def take_out(self, organisation_id: str, group_id: str, member_id: str) -> bool:
        """Takes a member out of a group; False where there was none."""

    def parts(self, organisation_id: str, group_id: str) -> Mapping[str, GroupPart]:
        """The part of each member in a group."""

    def all_places(self, organisation_id: str) -> Sequence[tuple[str, str]]:
        """Every (group id, member id): for comparing with a roster."""

    def add_code(self, code: JoinCode) -> None:
        """Stores a new code; earlier ones of the group end."""

    def code(self, code: str) -> JoinCode | None:
        """The code."""

    def code_of(self, organisation_id: str, group_id: str, now: datetime) -> JoinCode | None:
        """The code of a group that is good now."""

    def use_code(self, code: str, now: datetime) -> bool:
        """Counts one use; False when the code is used up, revoked or too old."""

    def revoke_codes(self, organisation_id: str, group_id: str, at: datetime) -> None:
        """Ends the codes of a group."""


class SecondFactors(Protocol):
    """Codes by time and recovery codes."""

    def get(self, person_id: str) -> SecondFactor | None:
        """The second factor of a person."""

    def put(self, factor: SecondFactor) -> None:
        """Stores it in place of an earlier one."""

    def confirm(self, person_id: str, at: datetime) -> None:
        """Counts from now on."""

    def use_step(self, person_id: str, step: int) -> bool:
        """True when no code of this step or a later one was used before: of several at once one gets True."""

    def remove(self, person_id: str) -> None:
        """Takes it away together with the recovery codes."""

    def set_recovery_codes(self, person_id: str, hashes: Collection[str]) -> None:
        """Stores recovery codes in place of earlier ones."""

    def use_recovery_code(self, person_id: str, code_hash: str, at: datetime) -> bool:
        """Uses a recovery code up; False when there is none such."""

    def recovery_codes_left(self, person_id: str) -> int:
        """How many are unused."""


class Drafts(Protocol):
    """Rosters that were sent and not yet taken over."""

    def add(self, draft_id: str, organisation_id: str, person_id: str, text: str, at: datetime) -> None:
        """Keeps a draft; earlier ones of the same sender go."""

    def get(self, draft_id: str, organisation_id: str, person_id: str) -> str | None:
        """The text of a draft."""

    def remove(self, draft_id: str, organisation_id: str, person_id: str) -> None:
        """Throws a draft away."""


class FirstSteps(Protocol):
    """Which first steps are done."""

    def done(self, organisation_id: str, member_id: str, steps: Sequence[FirstStep]) -> frozenset[FirstStep]:
        """Those of some steps that are done, for a member of an organisation."""


class Wall(Protocol):
    """Asks the one question that every id in an address must pass."""

    def holds(self, kind: str, organisation_id: str, thing_id: str) -> bool:
        """True when the thing of this kind belongs to the organisation."""


class PeopleRepositories(Protocol):
    """All of them in one transaction, with the audit chain."""

    @property
    def people(self) -> People:
        """Accounts."""

    @property
    def sessions(self) -> Sessions:
        """Who is signed in where."""

    @property
    def tokens(self) -> Tokens:
        """Links that work once."""

    @property
    def organisations(self) -> Organisations:
        """Colleges and firms."""

    @property
    def members(self) -> Members:
        """People in organisations."""

    @property
    def groups(self) -> Groups:
        """Groups of learners and their codes."""

    @property
    def second_factors(self) -> SecondFactors:
        """Codes by time and recovery codes."""

    @property
    def drafts(self) -> Drafts:
        """Rosters not yet taken over."""

    @property
    def first_steps(self) -> FirstSteps:
        """Which first steps are done."""

    @property
    def learners(self) -> Learners:
        """Under whom practice is recorded."""

    @property
    def wall(self) -> Wall:
        """What belongs to which organisation."""

    @property
    def audit(self) -> AuditLog:
        """Who did what."""
