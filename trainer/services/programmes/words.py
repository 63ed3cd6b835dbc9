"""The closed lists of this subject; values are stored and never renamed."""

from __future__ import annotations

from enum import StrEnum


class ProgrammeState(StrEnum):
    """Where a refresher programme stands."""

    DRAFT = "draft"
    ACTIVE = "active"
    ENDED = "ended"


class AssignmentState(StrEnum):
    """Where one person stands in one programme, apart from the date."""

    ACTIVE = "active"
    EXCUSED = "excused"
    ENDED = "ended"


class NameVisibility(StrEnum):
    """How much of the holder's name a third party sees on a record."""

    HIDDEN = "hidden"
    INITIALS = "initials"
    FULL = "full"


class Standing(StrEnum):
    """How an assignment stands on a day."""

    DUE = "due"
    WARNING = "warning"
    OVERDUE = "overdue"
    DONE = "done"
    EXCUSED = "excused"
    ENDED = "ended"


class Currency(StrEnum):
    """How current somebody is at one objective; ``never`` is not yet assessed, and not overdue either."""

    CURRENT = "current"
    DUE_SOON = "due_soon"
    OVERDUE = "overdue"
    NEVER = "never"
    EXCUSED = "excused"
    NOT_REQUIRED = "not_required"


class ReminderKind(StrEnum):
    """At which stage a reminder goes out."""

    ASSIGNED = "assigned"
    WARNING = "warning"
    OVERDUE = "overdue"
