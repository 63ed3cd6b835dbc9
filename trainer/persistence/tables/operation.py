"""Jobs, the audit chain, limits on rates, times of retention."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import BigInteger, CheckConstraint, ForeignKey, Index, LargeBinary, Text
from sqlalchemy.orm import Mapped, mapped_column

from trainer.persistence.models import Base
from trainer.persistence.tables.columns import HASH, NAME, RANDOM_ID, TITLE, WORD, one_of
from trainer.persistence.types import UtcDateTime
from trainer.services.operation.words import JobState


class JobRow(Base):
    """Work for the runner in a process of its own."""

    __tablename__ = "job"
    __table_args__ = (
        one_of("state", JobState),
        CheckConstraint("progress_done >= 0 AND progress_done <= progress_total", name="progress_within_total"),
        Index(None, "state", "created_at"),
        Index(None, "organisation_id", "created_at"),
    )

    id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    organisation_id: Mapped[str | None] = mapped_column(ForeignKey("organisation.id"))
    kind: Mapped[str] = mapped_column(NAME)
    state: Mapped[str] = mapped_column(WORD)
    payload_json: Mapped[str] = mapped_column(Text)
    result_json: Mapped[str] = mapped_column(Text)
    # In words for the person who asked for it; empty where nothing failed.
    failure: Mapped[str] = mapped_column(Text)
    progress_done: Mapped[int]
    progress_total: Mapped[int]
    tries: Mapped[int]
    asked_by: Mapped[str | None] = mapped_column(ForeignKey("person.id", ondelete="SET NULL"))
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)
    started_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    finished_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    cancel_asked_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    # The runner that has it, and its last sign of life: another takes the job over when that is old.
    runner: Mapped[str | None] = mapped_column(NAME)
    alive_at: Mapped[datetime | None] = mapped_column(UtcDateTime)


class JobFileRow(Base):
    """A file that a job made, so that any machine can hand it out."""

    __tablename__ = "job_file"

    job_id: Mapped[str] = mapped_column(ForeignKey("job.id", ondelete="CASCADE"), primary_key=True)
    name: Mapped[str] = mapped_column(TITLE, primary_key=True)
    media_type: Mapped[str] = mapped_column(NAME)
    content: Mapped[bytes] = mapped_column(LargeBinary)


class AuditRow(Base):
    """An entry of the audit chain; each hash covers the entry and the hash before it.

    No references: the chain stays whole when what it names is erased.
    """

    __tablename__ = "audit_entry"
    __table_args__ = (
        CheckConstraint("number >= 1", name="number_from_one"),
        Index(None, "organisation_id", "number"),
        Index(None, "subject_kind", "subject_id", "number"),
        # What it says of one person is asked by either.
        Index(None, "actor_id", "number"),
        Index(None, "subject_id", "number"),
    )

    number: Mapped[int] = mapped_column(BigInteger, primary_key=True, autoincrement=False)
    at: Mapped[datetime] = mapped_column(UtcDateTime)
    organisation_id: Mapped[str | None] = mapped_column(RANDOM_ID)
    # A member, a person, or a command; an id, never a name.
    actor_kind: Mapped[str] = mapped_column(WORD)
    actor_id: Mapped[str | None] = mapped_column(RANDOM_ID)
    action: Mapped[str] = mapped_column(NAME)
    subject_kind: Mapped[str] = mapped_column(NAME)
    subject_id: Mapped[str] = mapped_column(NAME)
    details_json: Mapped[str] = mapped_column(Text)
    previous_hash: Mapped[str] = mapped_column(HASH)
    entry_hash: Mapped[str] = mapped_column(HASH)


class RateCountRow(Base):
    """How often something was tried in one window of time, counted over all machines."""

    __tablename__ = "rate_count"

    # A hash, so that no address or name stands here.
    key: Mapped[str] = mapped_column(HASH, primary_key=True)
    hits: Mapped[int]
    expires_at: Mapped[datetime] = mapped_column(UtcDateTime, index=True)


class RetentionRow(Base):
    """How long one kind of data is kept; for the site (empty organisation) or for one organisation."""

    __tablename__ = "retention"
    __table_args__ = (CheckConstraint("keep_days >= 1", name="keep_days_positive"),)

    organisation_id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    kind: Mapped[str] = mapped_column(NAME, primary_key=True)
    keep_days: Mapped[int]
    changed_at: Mapped[datetime] = mapped_column(UtcDateTime)
