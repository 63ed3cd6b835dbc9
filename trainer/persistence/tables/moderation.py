"""What people do to marks after the sitting."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, Text
from sqlalchemy.orm import Mapped, mapped_column

from trainer.persistence.models import Base
from trainer.persistence.tables.columns import RANDOM_ID, VERSION, WORD, inside, one_of
from trainer.persistence.types import CompressedBytes, UtcDateTime
from trainer.services.papers.words import AppealState, ModerationKind


class ModerationRow(Base):
    """A mark that was changed, or an item that was voided for everybody, with the reason."""

    __tablename__ = "moderation"
    __table_args__ = (
        inside("paper_id", "paper"),
        inside("sitting_id", "sitting"),
        one_of("kind", ModerationKind),
        CheckConstraint("reason <> ''", name="has_a_reason"),
        CheckConstraint("kind <> 'mark_changed' OR sitting_id IS NOT NULL", name="changed_mark_has_a_sitting"),
        CheckConstraint("confirmed_by IS NULL OR confirmed_by <> made_by", name="confirmed_by_another"),
        Index(None, "paper_id", "made_at"),
    )

    id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    organisation_id: Mapped[str] = mapped_column(ForeignKey("organisation.id"))
    paper_id: Mapped[str] = mapped_column(RANDOM_ID)
    kind: Mapped[str] = mapped_column(WORD)
    # None where it is for every sitting of the paper.
    sitting_id: Mapped[str | None] = mapped_column(RANDOM_ID, index=True)
    # The item: by position in the sitting, or by slot for every sitting.
    position: Mapped[int | None]
    slot: Mapped[int | None]
    marks_before: Mapped[int | None]
    marks_after: Mapped[int | None]
    reason: Mapped[str] = mapped_column(Text)
    made_by: Mapped[str] = mapped_column(ForeignKey("member.id"))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    confirmed_by: Mapped[str | None] = mapped_column(ForeignKey("member.id"))
    confirmed_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    withdrawn_at: Mapped[datetime | None] = mapped_column(UtcDateTime)


class PaperRegradingRow(Base):
    """A re-grading of a paper after a correction of the rules: whom it would change, and whether it was applied."""

    __tablename__ = "paper_regrading"
    __table_args__ = (inside("paper_id", "paper"), CheckConstraint("reason <> ''", name="has_a_reason"))

    id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    organisation_id: Mapped[str] = mapped_column(ForeignKey("organisation.id"))
    paper_id: Mapped[str] = mapped_column(RANDOM_ID, index=True)
    rule_set_version: Mapped[str] = mapped_column(VERSION)
    reason: Mapped[str] = mapped_column(Text)
    report_json: Mapped[bytes] = mapped_column(CompressedBytes)
    made_by: Mapped[str] = mapped_column(ForeignKey("member.id"))
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
    applied_by: Mapped[str | None] = mapped_column(ForeignKey("member.id"))
    applied_at: Mapped[datetime | None] = mapped_column(UtcDateTime)


class AppealRow(Base):
    """A learner's note that a mark is wrong, and the answer."""

    __tablename__ = "appeal"
    __table_args__ = (
        inside("sitting_id", "sitting"),
        one_of("state", AppealState),
        CheckConstraint("state = 'open' OR answered_at IS NOT NULL", name="closed_has_an_answer"),
        Index(None, "organisation_id", "state", "raised_at"),
    )

    id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    organisation_id: Mapped[str] = mapped_column(ForeignKey("organisation.id"))
    sitting_id: Mapped[str] = mapped_column(RANDOM_ID, index=True)
    position: Mapped[int | None]
    note: Mapped[str] = mapped_column(Text)
    state: Mapped[str] = mapped_column(WORD)
    raised_at: Mapped[datetime] = mapped_column(UtcDateTime)
    answer: Mapped[str] = mapped_column(Text)
    answered_by: Mapped[str | None] = mapped_column(ForeignKey("member.id"))
    answered_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
