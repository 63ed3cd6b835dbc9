"""Refresher programmes of a firm and the records they give."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from trainer.persistence.models import Base
from trainer.persistence.tables.columns import NAME, RANDOM_ID, TITLE, VERSION, WORD, inside, one_of
from trainer.persistence.types import UtcDateTime
from trainer.services.programmes.words import AssignmentState, NameVisibility, ProgrammeState


class ProgrammeRow(Base):
    """What must be kept current, how often, and what counts as passed."""

    __tablename__ = "programme"
    __table_args__ = (
        UniqueConstraint("organisation_id", "id"),
        one_of("state", ProgrammeState),
        CheckConstraint("cycle_days >= 1", name="cycle_positive"),
        CheckConstraint("warning_days >= 0 AND warning_days <= cycle_days", name="warning_within_cycle"),
        CheckConstraint("pass_percent BETWEEN 0 AND 100", name="pass_percent_in_range"),
        CheckConstraint("items >= 1", name="items_from_one"),
        CheckConstraint("revision >= 1", name="revision_from_one"),
        Index(None, "organisation_id", "state"),
    )

    id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    organisation_id: Mapped[str] = mapped_column(ForeignKey("organisation.id"))
    title: Mapped[str] = mapped_column(TITLE)
    state: Mapped[str] = mapped_column(WORD)
    revision: Mapped[int]
    cycle_days: Mapped[int]
    warning_days: Mapped[int]
    # The standard.
    pass_percent: Mapped[int]
    critical_errors_fail: Mapped[bool]
    # How a refresher is drawn.
    items: Mapped[int]
    level: Mapped[int]
    edition: Mapped[str] = mapped_column(VERSION)
    # Further settings of the draw.
    draw_json: Mapped[str] = mapped_column(Text)
    made_by: Mapped[str | None] = mapped_column(ForeignKey("member.id"))
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)


class ProgrammeObjectiveRow(Base):
    """An objective that a role must keep current."""

    __tablename__ = "programme_objective"
    __table_args__ = (inside("programme_id", "programme"), inside("trade_role_id", "trade_role"))

    programme_id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    trade_role_id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True, index=True)
    objective_id: Mapped[str] = mapped_column(NAME, primary_key=True)
    organisation_id: Mapped[str] = mapped_column(ForeignKey("organisation.id"))


class ProgrammeSiteRow(Base):
    """A site that a programme is for; without any it is for all."""

    __tablename__ = "programme_site"
    __table_args__ = (inside("programme_id", "programme"), inside("site_id", "site"))

    programme_id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    site_id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True, index=True)
    organisation_id: Mapped[str] = mapped_column(ForeignKey("organisation.id"))


class AssignmentRow(Base):
    """One person in one programme: when it is due, when it was last passed."""

    __tablename__ = "assignment"
    __table_args__ = (
        UniqueConstraint("organisation_id", "id"),
        UniqueConstraint("programme_id", "member_id"),
        inside("programme_id", "programme"),
        inside("member_id", "member"),
        one_of("state", AssignmentState),
        Index(None, "organisation_id", "state", "due_at"),
        Index(None, "programme_id", "state", "due_at"),
        Index(None, "state", "due_at"),
        Index(None, "member_id"),
    )

    id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    organisation_id: Mapped[str] = mapped_column(ForeignKey("organisation.id"))
    programme_id: Mapped[str] = mapped_column(RANDOM_ID)
    member_id: Mapped[str] = mapped_column(RANDOM_ID)
    state: Mapped[str] = mapped_column(WORD)
    due_at: Mapped[datetime] = mapped_column(UtcDateTime)
    last_passed_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    # Until when: the edition of the last assessment tells who must look at what changed.
    last_edition: Mapped[str | None] = mapped_column(VERSION)
    excused_reason: Mapped[str] = mapped_column(Text)
    assigned_at: Mapped[datetime] = mapped_column(UtcDateTime)


class ReminderRow(Base):
    """A reminder that went out; each kind goes out once for each due date."""

    __tablename__ = "reminder"

    assignment_id: Mapped[str] = mapped_column(ForeignKey("assignment.id", ondelete="CASCADE"), primary_key=True)
    kind: Mapped[str] = mapped_column(WORD, primary_key=True)
    due_at: Mapped[datetime] = mapped_column(UtcDateTime, primary_key=True)
    sent_at: Mapped[datetime] = mapped_column(UtcDateTime)


class RecordRow(Base):
    """That somebody passed: what, under which edition, until when. Whoever has the code may look."""

    __tablename__ = "training_record"
    __table_args__ = (
        UniqueConstraint("sitting_id"),
        inside("member_id", "member"),
        inside("sitting_id", "sitting"),
        inside("programme_id", "programme"),
        inside("paper_id", "paper"),
        one_of("name_visibility", NameVisibility),
        CheckConstraint("marks >= 0 AND marks <= marks_available", name="marks_within_available"),
        CheckConstraint("revoked_at IS NULL OR revoked_reason <> ''", name="revoked_has_a_reason"),
        Index(None, "organisation_id", "valid_until"),
        Index(None, "member_id", "issued_at"),
        Index(None, "programme_id", "issued_at"),
    )

    id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    # Random, at least 128 bits; the holder passes it on.
    code: Mapped[str] = mapped_column(RANDOM_ID, unique=True)
    organisation_id: Mapped[str] = mapped_column(ForeignKey("organisation.id"))
    member_id: Mapped[str] = mapped_column(RANDOM_ID)
    sitting_id: Mapped[str | None] = mapped_column(RANDOM_ID)
    programme_id: Mapped[str | None] = mapped_column(RANDOM_ID)
    paper_id: Mapped[str | None] = mapped_column(RANDOM_ID)
    title: Mapped[str] = mapped_column(TITLE)
    # The name at the time; the visibility is the holder's choice.
    holder_name: Mapped[str] = mapped_column(TITLE)
    name_visibility: Mapped[str] = mapped_column(WORD)
    objectives_json: Mapped[str] = mapped_column(Text)
    edition: Mapped[str] = mapped_column(VERSION)
    rule_set_version: Mapped[str] = mapped_column(VERSION)
    marks: Mapped[int]
    marks_available: Mapped[int]
    issued_at: Mapped[datetime] = mapped_column(UtcDateTime)
    valid_until: Mapped[datetime | None] = mapped_column(UtcDateTime)
    revoked_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    revoked_by: Mapped[str | None] = mapped_column(ForeignKey("member.id"))
    revoked_reason: Mapped[str] = mapped_column(Text)
