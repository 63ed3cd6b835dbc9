"""The tables."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import (
    BigInteger,
    CheckConstraint,
    ForeignKey,
    Index,
    MetaData,
    String,
    Text,
    UniqueConstraint,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column, relationship

from trainer.persistence.types import CompressedBytes, UtcDateTime

# Every constraint has a name, the same on each database, so that a migration can find it.
NAMING_CONVENTION = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}

_HASH = String(64)
_RANDOM_ID = String(43)
_NAME = String(80)
_VERSION = String(20)


class Base(DeclarativeBase):
    """Carries the naming convention of all tables."""

    metadata = MetaData(naming_convention=NAMING_CONVENTION)


class TaskRow(Base):
    """A task as it was delivered, once for each content."""

    __tablename__ = "task"
    __table_args__ = (CheckConstraint("seed >= 0", name="seed_not_negative"),)

    content_hash: Mapped[str] = mapped_column(_HASH, primary_key=True)
    content: Mapped[bytes] = mapped_column(CompressedBytes)
    seed: Mapped[int] = mapped_column(BigInteger)
    generator_version: Mapped[str] = mapped_column(_VERSION)
    rule_set_version: Mapped[str] = mapped_column(_VERSION)
    edition: Mapped[str] = mapped_column(_VERSION)
    kind: Mapped[str] = mapped_column(_NAME)
    level: Mapped[int]
    archetype: Mapped[str] = mapped_column(_NAME)
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)


class LearnerRow(Base):
    """A learner without an account."""

    __tablename__ = "learner"

    id: Mapped[str] = mapped_column(_RANDOM_ID, primary_key=True)
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)
    last_seen_at: Mapped[datetime] = mapped_column(UtcDateTime)


class PageRow(Base):
    """A page that shows one task to one learner."""

    __tablename__ = "page"

    id: Mapped[str] = mapped_column(_RANDOM_ID, primary_key=True)
    content_hash: Mapped[str] = mapped_column(ForeignKey("task.content_hash"), index=True)
    learner_id: Mapped[str | None] = mapped_column(ForeignKey("learner.id"), index=True)
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)


class AttemptRow(Base):
    """A graded submission; a page and a number name one."""

    __tablename__ = "attempt"
    __table_args__ = (
        UniqueConstraint("page_id", "number"),
        CheckConstraint("number >= 1", name="number_from_one"),
        CheckConstraint("marks >= 0 AND marks <= marks_available", name="marks_within_available"),
        Index(None, "learner_id", "submitted_at"),
    )

    id: Mapped[str] = mapped_column(_RANDOM_ID, primary_key=True)
    page_id: Mapped[str] = mapped_column(ForeignKey("page.id"))
    number: Mapped[int]
    learner_id: Mapped[str | None] = mapped_column(ForeignKey("learner.id"))
    answers_json: Mapped[str] = mapped_column(Text)
    certainty_json: Mapped[str] = mapped_column(Text)
    grade_json: Mapped[bytes] = mapped_column(CompressedBytes)
    marks: Mapped[int]
    marks_available: Mapped[int]
    safe_to_energise: Mapped[bool]
    rule_set_version: Mapped[str] = mapped_column(_VERSION)
    edition: Mapped[str] = mapped_column(_VERSION)
    started_at: Mapped[datetime] = mapped_column(UtcDateTime)
    submitted_at: Mapped[datetime] = mapped_column(UtcDateTime)

    outcomes: Mapped[list[OutcomeRow]] = relationship(
        order_by="OutcomeRow.position", cascade="all, delete-orphan", lazy="selectin"
    )


class RegradingRow(Base):
    """An attempt judged again, kept beside what it was given first; an attempt and what judged it name one."""

    __tablename__ = "regrading"
    __table_args__ = (CheckConstraint("marks >= 0 AND marks <= marks_available", name="marks_within_available"),)

    attempt_id: Mapped[str] = mapped_column(ForeignKey("attempt.id", ondelete="CASCADE"), primary_key=True)
    rule_set_version: Mapped[str] = mapped_column(_VERSION, primary_key=True)
    edition: Mapped[str] = mapped_column(_VERSION, primary_key=True)
    grade_json: Mapped[bytes] = mapped_column(CompressedBytes)
    marks: Mapped[int]
    marks_available: Mapped[int]
    safe_to_energise: Mapped[bool]
    reason: Mapped[str] = mapped_column(Text)
    regraded_at: Mapped[datetime] = mapped_column(UtcDateTime)


class OutcomeRow(Base):
    """The marks that one decision of an attempt counts towards one objective."""

    __tablename__ = "objective_outcome"
    __table_args__ = (Index(None, "learner_id", "objective_id"),)

    attempt_id: Mapped[str] = mapped_column(ForeignKey("attempt.id", ondelete="CASCADE"), primary_key=True)
    position: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    learner_id: Mapped[str | None] = mapped_column(ForeignKey("learner.id"))
    objective_id: Mapped[str] = mapped_column(_NAME)
    misconception_id: Mapped[str | None] = mapped_column(_NAME)
    marks: Mapped[int]
    marks_available: Mapped[int]
