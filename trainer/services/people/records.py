"""People, organisations and what belongs to them, in plain values."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from trainer.services.people.words import GroupPart, MemberState, OrganisationKind, Role, TokenPurpose


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """An account."""

    id: str
    sign_in_name: str
    email: str | None
    display_name: str
    password_hash: str | None
    password_changed_at: datetime | None
    is_operator: bool
    learner_id: str | None
    created_at: datetime
    last_signed_in_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Organisation:
    """A college or a firm."""

    id: str
    name: str
    kind: OrganisationKind
    release_needs_second_person: bool
    staff_need_second_factor: bool
    created_at: datetime
    suspended_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A site, or what somebody works as, of one organisation."""

    id: str
    organisation_id: str
    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Member:
    """One person in one organisation, with the roles there."""

    id: str
    organisation_id: str
    person_id: str | None
    display_name: str
    email: str | None
    reference: str | None
    site_id: str | None
    trade_role_id: str | None
    state: MemberState
    created_at: datetime
    ended_at: datetime | None = None
    roles: frozenset[Role] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Membership:
    """Where a person belongs, as the person chooses among them."""

    member_id: str
    organisation_id: str
    organisation_name: str
    roles: frozenset[Role]


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """A group of learners."""

    id: str
    organisation_id: str
    name: str
    created_at: datetime
    archived_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupSize:
    """A group with the numbers of those in it."""

    group: Group
    learners: int
    teachers: int


@dataclass(frozen=True, slots=True, kw_only=True)
class JoinCode:
    """A code by which learners join a group."""

    code: str
    organisation_id: str
    group_id: str
    made_by: str | None
    created_at: datetime
    expires_at: datetime
    revoked_at: datetime | None
    uses: int
    uses_allowed: int


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupPlace:
    """A member's part in a group."""

    group_id: str
    member_id: str
    organisation_id: str
    part: GroupPart
    joined_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Session:
    """Somebody signed in on one device."""

    id: str
    token_hash: str
    person_id: str
    member_id: str | None
    device: str
    created_at: datetime
    last_seen_at: datetime
    expires_at: datetime
    second_factor_at: datetime | None = None
    revoked_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Token:
    """A link that works once; only its hash is kept."""

    token_hash: str
    purpose: TokenPurpose
    person_id: str | None
    member_id: str | None
    created_at: datetime
    expires_at: datetime
    used_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SecondFactor:
    """Codes by time of one person."""

    person_id: str
    salt: str
    created_at: datetime
    confirmed_at: datetime | None
    last_step: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Everything that a request needs to know of the person who sent it, from one look."""

    session: Session
    person: Person
    has_second_factor: bool
    member: Member | None
    organisation: Organisation | None
