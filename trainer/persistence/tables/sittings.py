"""Sittings: a person at a paper or at a refresher, and what was answered."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import BigInteger, CheckConstraint, ForeignKey, ForeignKeyConstraint, Index, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from trainer.persistence.models import Base
from trainer.persistence.tables.columns import NAME, RANDOM_ID, VERSION, WORD, inside, one_of
from trainer.persistence.types import CompressedBytes, UtcDateTime
from trainer.services.papers.words import HandedInBy, SittingState


class SittingRow(Base):
    """One attempt of one person at one paper, or at one refresher; several starts at once make one."""

    __tablename__ = "sitting"
    __table_args__ = (
        UniqueConstraint("organisation_id", "id"),
        UniqueConstraint("paper_id", "member_id", "number"),
        UniqueConstraint("assignment_id", "number"),
        UniqueConstraint("paper_id", "candidate_number"),
        inside("paper_id", "paper"),
        inside("member_id", "member"),
        inside("assignment_id", "assignment"),
        one_of("state", SittingState),
        one_of("handed_in_by", HandedInBy),
        CheckConstraint("(paper_id IS NULL) <> (assignment_id IS NULL)", name="of_a_paper_or_a_refresher"),
        CheckConstraint("number >= 1", name="number_from_one"),
        CheckConstraint("state <> 'handed_in' OR handed_in_at IS NOT NULL", name="handed_in_has_a_time"),
        CheckConstraint("marks IS NULL OR (marks >= 0 AND marks <= marks_available)", name="marks_within_available"),
        Index(None, "member_id", "started_at"),
        Index(None, "paper_id", "state", "marks"),
        Index(None, "state", "deadline_at"),
    )

    id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    organisation_id: Mapped[str] = mapped_column(ForeignKey("organisation.id"))
    member_id: Mapped[str] = mapped_column(RANDOM_ID)
    paper_id: Mapped[str | None] = mapped_column(RANDOM_ID)
    assignment_id: Mapped[str | None] = mapped_column(RANDOM_ID)
    # Counts the attempts of the person from 1.
    number: Mapped[int]
    # Under which number the person is marked until release; random within the paper.
    candidate_number: Mapped[str | None] = mapped_column(WORD)
    # The person's variant: a number of paper_variant_item, and the keyed seed it was drawn from.
    variant: Mapped[int]
    seed: Mapped[int] = mapped_column(BigInteger)
    state: Mapped[str] = mapped_column(WORD)
    started_at: Mapped[datetime] = mapped_column(UtcDateTime)
    # None is without a limit. Moves when a rest break ends.
    deadline_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    paused_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    paused_s: Mapped[int]
    # How long the clock may stand in all, as it was when the sitting began.
    rest_breaks_s: Mapped[int] = mapped_column(default=0, server_default="0")
    # The latest time at which the server touched the sitting: a clock that was set back never lengthens it.
    last_seen_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    extra_time_s: Mapped[int]
    larger_text: Mapped[bool]
    handed_in_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    handed_in_by: Mapped[str | None] = mapped_column(WORD)
    # The result that counts: the grading with this number, with moderation applied.
    grading_number: Mapped[int | None]
    marks: Mapped[int | None]
    marks_available: Mapped[int | None]
    safe_to_energise: Mapped[bool | None]


class SittingBreakRow(Base):
    """A rest break, in which the clock stood."""

    __tablename__ = "sitting_break"

    sitting_id: Mapped[str] = mapped_column(ForeignKey("sitting.id", ondelete="CASCADE"), primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    began_at: Mapped[datetime] = mapped_column(UtcDateTime)
    ended_at: Mapped[datetime | None] = mapped_column(UtcDateTime)


class SittingItemRow(Base):
    """One task of a sitting, as it was delivered."""

    __tablename__ = "sitting_item"

    sitting_id: Mapped[str] = mapped_column(ForeignKey("sitting.id", ondelete="CASCADE"), primary_key=True)
    position: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    # Which entry of the blueprint the item was drawn for: the same for every learner.
    slot: Mapped[int]
    content_hash: Mapped[str] = mapped_column(ForeignKey("task.content_hash"), index=True)
    marks_available: Mapped[int]
    flagged: Mapped[bool]


class SavedAnswerRow(Base):
    """What stands in one item now. A save with a smaller sequence number than the stored one changes nothing."""

    __tablename__ = "saved_answer"
    __table_args__ = (
        ForeignKeyConstraint(
            ["sitting_id", "position"], ["sitting_item.sitting_id", "sitting_item.position"], ondelete="CASCADE"
        ),
        CheckConstraint("sequence >= 1", name="sequence_from_one"),
    )

    sitting_id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    position: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    sequence: Mapped[int] = mapped_column(BigInteger)
    # Which open page sent it, so that the same save sent again is known.
    sender: Mapped[str] = mapped_column(RANDOM_ID)
    answers_json: Mapped[str] = mapped_column(Text)
    certainty_json: Mapped[str] = mapped_column(Text)
    saved_at: Mapped[datetime] = mapped_column(UtcDateTime)
    # Came after the deadline, within what the rule for late answers takes.
    late: Mapped[bool]


class GradingRow(Base):
    """One marking of a sitting; a re-grading adds the next number and both stay."""

    __tablename__ = "grading"
    __table_args__ = (
        UniqueConstraint("sitting_id", "number"),
        CheckConstraint("number >= 1", name="number_from_one"),
        CheckConstraint("marks >= 0 AND marks <= marks_available", name="marks_within_available"),
    )

    id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    sitting_id: Mapped[str] = mapped_column(ForeignKey("sitting.id", ondelete="CASCADE"))
    number: Mapped[int]
    marks: Mapped[int]
    marks_available: Mapped[int]
    safe_to_energise: Mapped[bool]
    edition: Mapped[str] = mapped_column(VERSION)
    rule_set_version: Mapped[str] = mapped_column(VERSION)
    # Empty for the first one.
    reason: Mapped[str] = mapped_column(Text)
    graded_by: Mapped[str | None] = mapped_column(ForeignKey("member.id"))
    graded_at: Mapped[datetime] = mapped_column(UtcDateTime)


class ItemGradingRow(Base):
    """The marking of one item with its explanations."""

    __tablename__ = "item_grading"

    grading_id: Mapped[str] = mapped_column(ForeignKey("grading.id", ondelete="CASCADE"), primary_key=True)
    position: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    marks: Mapped[int]
    marks_available: Mapped[int]
    grade_json: Mapped[bytes] = mapped_column(CompressedBytes)


class DecisionOutcomeRow(Base):
    """How one decision of a sitting ended: what item figures are computed from.

    Rows exist for the grading that counts only; paper and slot are repeated here so that a
    figure reads one index.
    """

    __tablename__ = "decision_outcome"
    __table_args__ = (
        CheckConstraint("marks >= 0 AND marks <= marks_available", name="marks_within_available"),
        Index(None, "paper_id", "slot", "item_key"),
        Index(None, "paper_id", "misconception_id"),
    )

    sitting_id: Mapped[str] = mapped_column(ForeignKey("sitting.id", ondelete="CASCADE"), primary_key=True)
    position: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    decision_id: Mapped[str] = mapped_column(NAME, primary_key=True)
    paper_id: Mapped[str | None] = mapped_column(ForeignKey("paper.id"))
    slot: Mapped[int]
    # What is the same question over all variants, for instance its kind and objective.
    item_key: Mapped[str] = mapped_column(NAME)
    # What was chosen in words that are the same over all variants; None where nothing was.
    chosen: Mapped[str | None] = mapped_column(NAME)
    objective_id: Mapped[str] = mapped_column(NAME)
    misconception_id: Mapped[str | None] = mapped_column(NAME)
    certainty: Mapped[int | None]
    marks: Mapped[int]
    marks_available: Mapped[int]


class SittingObjectiveRow(Base):
    """What a sitting earned towards one objective, from the grading that counts."""

    __tablename__ = "sitting_objective"
    __table_args__ = (
        inside("sitting_id", "sitting"),
        inside("member_id", "member"),
        Index(None, "member_id", "objective_id"),
    )

    sitting_id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    objective_id: Mapped[str] = mapped_column(NAME, primary_key=True)
    organisation_id: Mapped[str] = mapped_column(ForeignKey("organisation.id"))
    member_id: Mapped[str] = mapped_column(RANDOM_ID)
    decisions: Mapped[int]
    marks: Mapped[int]
    marks_available: Mapped[int]
