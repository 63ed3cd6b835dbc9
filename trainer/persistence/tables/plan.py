"""A learner's own plan: what is due when, and where the learner stands."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, Text
from sqlalchemy.orm import Mapped, mapped_column

from trainer.persistence.models import Base
from trainer.persistence.tables.columns import NAME, WORD
from trainer.persistence.types import UtcDateTime


class ScheduleCardRow(Base):
    """One card for each objective of a learner, as the scheduler left it."""

    __tablename__ = "schedule_card"
    __table_args__ = (Index(None, "learner_id", "due_at"),)

    learner_id: Mapped[str] = mapped_column(ForeignKey("learner.id", ondelete="CASCADE"), primary_key=True)
    objective_id: Mapped[str] = mapped_column(NAME, primary_key=True)
    state_json: Mapped[str] = mapped_column(Text)
    due_at: Mapped[datetime] = mapped_column(UtcDateTime)
    last_reviewed_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    reviews: Mapped[int]


class ScheduleReviewRow(Base):
    """A review that moved a card; the same work never moves it twice."""

    __tablename__ = "schedule_review"

    learner_id: Mapped[str] = mapped_column(ForeignKey("learner.id", ondelete="CASCADE"), primary_key=True)
    objective_id: Mapped[str] = mapped_column(NAME, primary_key=True)
    # The id of the attempt or sitting that was reviewed.
    source_id: Mapped[str] = mapped_column(NAME, primary_key=True)
    rating: Mapped[str] = mapped_column(WORD)
    reviewed_at: Mapped[datetime] = mapped_column(UtcDateTime)


class ObjectiveStandingRow(Base):
    """Running sums for one objective of a learner over practice and sittings, for tables of many people."""

    __tablename__ = "objective_standing"
    __table_args__ = (CheckConstraint("marks >= 0 AND marks <= marks_available", name="marks_within_available"),)

    learner_id: Mapped[str] = mapped_column(ForeignKey("learner.id", ondelete="CASCADE"), primary_key=True)
    objective_id: Mapped[str] = mapped_column(NAME, primary_key=True)
    decisions: Mapped[int]
    marks: Mapped[int]
    marks_available: Mapped[int]
    last_at: Mapped[datetime] = mapped_column(UtcDateTime)
