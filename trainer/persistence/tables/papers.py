"""Papers: what a lecturer sets, for whom, under which conditions."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import BigInteger, CheckConstraint, ForeignKey, Index, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from trainer.persistence.models import Base
from trainer.persistence.tables.columns import HASH, RANDOM_ID, TITLE, VERSION, WORD, inside, one_of
from trainer.persistence.types import CompressedBytes, UtcDateTime
from trainer.services.papers.words import PaperMode, PaperState, ReleasePolicy


class PaperRow(Base):
    """A paper. ``revision`` counts its changes, so that of two editors the later one is told."""

    __tablename__ = "paper"
    __table_args__ = (
        UniqueConstraint("organisation_id", "id"),
        one_of("state", PaperState),
        one_of("mode", PaperMode),
        one_of("release_policy", ReleasePolicy),
        CheckConstraint("revision >= 1", name="revision_from_one"),
        CheckConstraint("attempts_allowed >= 1", name="attempts_from_one"),
        CheckConstraint("time_limit_s IS NULL OR time_limit_s > 0", name="time_limit_positive"),
        CheckConstraint("opens_at IS NULL OR closes_at IS NULL OR opens_at < closes_at", name="window_has_a_length"),
        CheckConstraint("pass_percent IS NULL OR pass_percent BETWEEN 0 AND 100", name="pass_percent_in_range"),
        Index(None, "organisation_id", "state", "created_at"),
        Index(None, "state", "opens_at"),
        Index(None, "state", "closes_at"),
        Index(None, "state", "release_at"),
    )

    id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    organisation_id: Mapped[str] = mapped_column(ForeignKey("organisation.id"))
    title: Mapped[str] = mapped_column(TITLE)
    state: Mapped[str] = mapped_column(WORD)
    revision: Mapped[int]
    blueprint_json: Mapped[str] = mapped_column(Text)
    mode: Mapped[str] = mapped_column(WORD)
    opens_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    closes_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    # Whole seconds; None is without a limit.
    time_limit_s: Mapped[int | None]
    attempts_allowed: Mapped[int]
    # Said in the room, so it is kept as it is; None where none is asked for.
    access_code: Mapped[str | None] = mapped_column(WORD)
    pass_percent: Mapped[int | None]
    critical_errors_fail: Mapped[bool]
    release_policy: Mapped[str] = mapped_column(WORD)
    release_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    # Random; the seeds of all variants come from it. Never shown.
    variant_key: Mapped[str] = mapped_column(RANDOM_ID)
    edition: Mapped[str] = mapped_column(VERSION)
    generator_version: Mapped[str] = mapped_column(VERSION)
    rule_set_version: Mapped[str] = mapped_column(VERSION)
    made_by: Mapped[str | None] = mapped_column(ForeignKey("member.id"))
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)
    changed_at: Mapped[datetime] = mapped_column(UtcDateTime)
    release_asked_by: Mapped[str | None] = mapped_column(ForeignKey("member.id"))
    release_asked_at: Mapped[datetime | None] = mapped_column(UtcDateTime)
    released_by: Mapped[str | None] = mapped_column(ForeignKey("member.id"))
    released_at: Mapped[datetime | None] = mapped_column(UtcDateTime)


class PaperGroupRow(Base):
    """A group that sits a paper."""

    __tablename__ = "paper_group"
    __table_args__ = (inside("paper_id", "paper"), inside("group_id", "study_group"))

    paper_id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    group_id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True, index=True)
    organisation_id: Mapped[str] = mapped_column(ForeignKey("organisation.id"))


class PaperVariantRow(Base):
    """A variant that was made ready before anybody sits it, item by item."""

    __tablename__ = "paper_variant_item"
    __table_args__ = (CheckConstraint("number >= 1", name="number_from_one"),)

    paper_id: Mapped[str] = mapped_column(ForeignKey("paper.id", ondelete="CASCADE"), primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    position: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    # Which entry of the blueprint the item was drawn for.
    slot: Mapped[int]
    seed: Mapped[int] = mapped_column(BigInteger)
    content_hash: Mapped[str] = mapped_column(ForeignKey("task.content_hash"), index=True)
    marks_available: Mapped[int]


class AccessArrangementRow(Base):
    """What one person needs in order to sit fairly; seen only by those who must act on it."""

    __tablename__ = "access_arrangement"
    __table_args__ = (
        inside("member_id", "member"),
        inside("paper_id", "paper"),
        CheckConstraint("extra_time_percent >= 0", name="extra_time_not_negative"),
        CheckConstraint("rest_breaks_s >= 0", name="rest_breaks_not_negative"),
        Index(None, "organisation_id", "member_id"),
    )

    id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    organisation_id: Mapped[str] = mapped_column(ForeignKey("organisation.id"))
    member_id: Mapped[str] = mapped_column(RANDOM_ID)
    # None holds for every paper.
    paper_id: Mapped[str | None] = mapped_column(RANDOM_ID, index=True)
    extra_time_percent: Mapped[int]
    # How long the clock may stand in all.
    rest_breaks_s: Mapped[int]
    larger_text: Mapped[bool]
    note: Mapped[str] = mapped_column(Text)
    made_by: Mapped[str | None] = mapped_column(ForeignKey("member.id"))
    created_at: Mapped[datetime] = mapped_column(UtcDateTime)
    ended_at: Mapped[datetime | None] = mapped_column(UtcDateTime)


class PaperFiguresRow(Base):
    """Item figures of a paper as they were last computed, so that a page need not read a million answers."""

    __tablename__ = "paper_figures"

    paper_id: Mapped[str] = mapped_column(ForeignKey("paper.id", ondelete="CASCADE"), primary_key=True)
    # The group, or empty for everybody.
    group_id: Mapped[str] = mapped_column(RANDOM_ID, primary_key=True)
    figures_json: Mapped[bytes] = mapped_column(CompressedBytes)
    sittings: Mapped[int]
    # Of what the figures were made; another one means that they are out of date.
    basis_hash: Mapped[str] = mapped_column(HASH)
    made_at: Mapped[datetime] = mapped_column(UtcDateTime)
