"""The closed lists of this subject; values are stored and never renamed."""

from __future__ import annotations

from enum import StrEnum


class PaperState(StrEnum):
    """Where a paper stands, in the order in which it goes through them."""

    DRAFT = "draft"
    LOCKED = "locked"
    OPEN = "open"
    CLOSED = "closed"
    MODERATED = "moderated"
    RELEASED = "released"


class PaperMode(StrEnum):
    """How strictly a paper is sat."""

    PRACTICE = "practice"
    GRADED = "graded"
    SUPERVISED = "supervised"


class ReleasePolicy(StrEnum):
    """How marks come to the learners."""

    BY_HAND = "by_hand"
    ON_DATE = "on_date"


class SittingState(StrEnum):
    """Where a sitting stands."""

    RUNNING = "running"
    PAUSED = "paused"
    HANDED_IN = "handed_in"
    VOID = "void"


class HandedInBy(StrEnum):
    """Who ended a sitting."""

    LEARNER = "learner"
    TIME = "time"
    STAFF = "staff"


class ModerationKind(StrEnum):
    """What a moderation changes."""

    MARK_CHANGED = "mark_changed"
    ITEM_VOIDED = "item_voided"


class AppealState(StrEnum):
    """Where an appeal stands."""

    OPEN = "open"
    UPHELD = "upheld"
    DISMISSED = "dismissed"


class SeedMark(StrEnum):
    """What an organisation says of a task that somebody looked at."""

    PINNED = "pinned"
    BARRED = "barred"
