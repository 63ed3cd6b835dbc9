"""Organisations, their people, roles and groups.

Everything of an organisation names it, and refers only to rows of the same one.
"""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from trainer.persistence.models import Base
from trainer.persistence.tables.columns import EMAIL, NAME, RANDOM_ID, TITLE, WORD, inside, one_of
from trainer.persistence.types import UtcDateTime
from trainer.services.people.words import GroupPart, MemberState, OrganisationKind, Role


class OrganisationRow(Base):
    """A college or a firm."""

    __tablename__ = "organisation"
    __table_args__ = (one_of("kind", OrganisationKind),)

    id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    name: Mapped[str] = mapped_column(TITLE, unique=True)
    kind: Mapped[str] = mapped_column(WORD)
    # Marks are released by one person and confirmed by a second.
    release_needs_second_person: Mapped[bool]
    # Lecturers, training managers and administrators sign in with a code by time as well.
    staff_need_second_factor: Mapped[bool]
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)
    # Since when nobody may sign in to it, or None.
    suspended_at: Mapped[datetime | None] = mapped_column(UtcDateTime)


class SiteRow(Base):
    """A place of work of a firm, or a campus of a college."""

    __tablename__ = "site"
    __table_args__ = (UniqueConstraint("organisation_id", "name"), UniqueConstraint("organisation_id", "id"))

    id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    organisation_id: Mapped[str] = mapped_column(ForeignKey("organisation.id"))
    name: Mapped[str] = mapped_column(NAME)


class TradeRoleRow(Base):
    """What somebody works as in a firm; programmes say what each must keep current."""

    __tablename__ = "trade_role"
    __table_args__ = (UniqueConstraint("organisation_id", "name"), UniqueConstraint("organisation_id", "id"))

    id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    organisation_id: Mapped[str] = mapped_column(ForeignKey("organisation.id"))
    name: Mapped[str] = mapped_column(NAME)


class MemberRow(Base):
    """One person in one organisation, known there by the name and reference that it gave."""

    __tablename__ = "member"
    __table_args__ = (
        UniqueConstraint("organisation_id", "id"),
        UniqueConstraint("organisation_id", "person_id"),
        UniqueConstraint("organisation_id", "email"),
        UniqueConstraint("organisation_id", "reference"),
        inside("site_id", "site"),
        inside("trade_role_id", "trade_role"),
        one_of("state", MemberState),
        CheckConstraint("state <> 'active' OR person_id IS NOT NULL", name="active_has_a_person"),
        Index(None, "organisation_id", "sort_name", "id"),
        Index(None, "organisation_id", "state", "sort_name"),
    )

    id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    organisation_id: Mapped[str] = mapped_column(ForeignKey("organisation.id"))
    # None until the invitation is taken up, and again once the person is erased.
    person_id: Mapped[str | None] = mapped_column(ForeignKey("person.id"), index=True)
    display_name: Mapped[str] = mapped_column(TITLE)
    # The name as it is sorted and searched: case folded.
    sort_name: Mapped[str] = mapped_column(TITLE)
    email: Mapped[str | None] = mapped_column(EMAIL)
    # The organisation's own number for the person.
    reference: Mapped[str | None] = mapped_column(NAME)
    site_id: Mapped[str | None] = mapped_column(RANDOM_ID)
    trade_role_id: Mapped[str | None] = mapped_column(RANDOM_ID)
    state: Mapped[str] = mapped_column(WORD)
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)
    ended_at: Mapped[datetime | None] = mapped_column(UtcDateTime)


class MemberRoleRow(Base):
    """A role that a member has."""

    __tablename__ = "member_role"
    __table_args__ = (one_of("role", Role),)

    member_id: Mapped[str] = mapped_column(ForeignKey("member.id", ondelete="CASCADE"), primary_key=True)
    role: Mapped[str] = mapped_column(WORD, primary_key=True)
    granted_at: Mapped[datetime] = mapped_column(UtcDateTime)


class StudyGroupRow(Base):
    """A group of learners with those who teach it."""

    __tablename__ = "study_group"
    __table_args__ = (UniqueConstraint("organisation_id", "name"), UniqueConstraint("organisation_id", "id"))

    id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    organisation_id: Mapped[str] = mapped_column(ForeignKey("organisation.id"))
    name: Mapped[str] = mapped_column(NAME)
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)
    archived_at: Mapped[datetime | None] = mapped_column(UtcDateTime)


class GroupMemberRow(Base):
    """A member's part in a group; nobody has two in one group."""

    __tablename__ = "group_member"
    __table_args__ = (inside("group_id", "study_group"), inside("member_id", "member"), one_of("part", GroupPart))

    group_id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    member_id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True, index=True)
    organisation_id: Mapped[str] = mapped_column(ForeignKey("organisation.id"))
    part: Mapped[str] = mapped_column(WORD)
    joined_at: Mapped[datetime] = mapped_column(UtcDateTime)


class JoinCodeRow(Base):
    """A code by which learners join a group; it is shown in the room, so it is kept as it is."""

    __tablename__ = "join_code"
    __table_args__ = (
        inside("group_id", "study_group"),
        CheckConstraint("uses <= uses_allowed", name="uses_within_allowed"),
    )

    code: Mapped[str] = mapped_column(WORD, primary_key=True)
    organisation_id: Mapped[str] = mapped_column(ForeignKey("organisation.id"))
    group_id: Mapped[str] = mapped_column(RANDOM_ID, index=True)
    made_by: Mapped[str | None] = mapped_column(ForeignKey("member.id"))
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)
    expires_at: Mapped[datetime] = mapped_column(UtcDateTime)
    revoked_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    uses: Mapped[int]
    uses_allowed: Mapped[int]
