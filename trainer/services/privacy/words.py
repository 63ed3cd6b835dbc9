"""The closed lists of this subject; values are stored and never renamed."""

from __future__ import annotations

from enum import StrEnum

# What stands in place of a name that was erased.
ERASED = "Somebody erased"


class Kept(StrEnum):
    """A kind of data that is kept for a time."""

    # Of the whole site.
    COUNTS = "counts"
    ROSTERS = "rosters"
    LINKS = "links"
    MAIL = "mail"
    JOBS = "jobs"
    SESSIONS = "sessions"
    PRACTICE = "practice"
    ACCOUNTS = "accounts"
    # Of an organisation, which may set its own times.
    ARRANGEMENTS = "arrangements"
    INVITATIONS = "invitations"
    MEMBERS = "members"
    SITTINGS = "sittings"
    RECORDS = "records"
