"""How long each kind of data is kept unless somebody sets another time, from when, and why.

The times are common practice, not law: the data protection officer of the site decides. UK GDPR
Article 5(1)(e) asks that there be one for each kind; six years are the limitation period of simple
contracts (Limitation Act 1980, section 5; both from memory).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from trainer.domain.errors import OutOfRangeError, Problem
from trainer.services.privacy.words import Kept

# Ten times the longest default: beyond that a time is a mistake of typing.
MOST_DAYS: Final = 21_900


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepingTime:
    """How long one kind of data is kept, what the time counts from, and what happens then."""

    kind: Kept
    days: int
    counts_from: str
    then: str
    # Whether an organisation may set its own time.
    of_organisation: bool = False


DEFAULTS: Final[Mapping[Kept, KeepingTime]] = {
    each.kind: each
    for each in (
        KeepingTime(kind=Kept.COUNTS, days=1, counts_from="the end of the time they count", then="deleted"),
        KeepingTime(kind=Kept.ROSTERS, days=7, counts_from="sending the file", then="deleted"),
        KeepingTime(kind=Kept.LINKS, days=30, counts_from="the end of the link", then="deleted"),
        KeepingTime(kind=Kept.MAIL, days=30, counts_from="writing the file", then="deleted"),
        KeepingTime(kind=Kept.JOBS, days=90, counts_from="the end of the work", then="deleted with its files"),
        KeepingTime(kind=Kept.SESSIONS, days=90, counts_from="the end of the session", then="deleted"),
        KeepingTime(
            kind=Kept.PRACTICE,
            days=400,
            counts_from="the last visit without an account",
            then="kept for statistics, belonging to nobody",
        ),
        KeepingTime(
            kind=Kept.ACCOUNTS,
            days=730,
            counts_from="the last time of signing in, if in no organisation",
            then="erased; practice is kept for statistics, belonging to nobody",
        ),
        KeepingTime(
            kind=Kept.ARRANGEMENTS,
            days=365,
            counts_from="the end of the arrangement",
            then="deleted",
            of_organisation=True,
        ),
        KeepingTime(
            kind=Kept.INVITATIONS,
            days=365,
            counts_from="adding somebody who never came",
            then="name, address and reference erased",
            of_organisation=True,
        ),
        KeepingTime(
            kind=Kept.MEMBERS,
            days=1095,
            counts_from="leaving the organisation",
            then="name, address, reference and notes erased; marks stay without a name",
            of_organisation=True,
        ),
        KeepingTime(
            kind=Kept.SITTINGS,
            days=2190,
            counts_from="handing in",
            then="answers and explanations deleted; marks and figures stay",
            of_organisation=True,
        ),
        KeepingTime(
            kind=Kept.RECORDS,
            days=2190,
            counts_from="the end of the record",
            then="the holder's name erased; the code leads nowhere",
            of_organisation=True,
        ),
    )
}


def checked_days(days: int) -> int:
    """The number of days. *Raises* OutOfRangeError."""
    if not 1 <= days <= MOST_DAYS:
        problem = f"must be a whole number of days from 1 to {MOST_DAYS}"
        raise OutOfRangeError(Problem(path="days", value=str(days), problem=problem))
    return days


def kinds(*, of_organisation: bool) -> Sequence[Kept]:
    """The kinds of the site, or those for which an organisation may set a time."""
    return tuple(kind for kind, time in DEFAULTS.items() if time.of_organisation is of_organisation)


def days_kept(kind: Kept, organisation_id: str, stored: Mapping[tuple[str, Kept], int]) -> int:
    """The organisation's own time, else the site's, else the default."""
    own = stored.get((organisation_id, kind)) if DEFAULTS[kind].of_organisation else None
    return own or stored.get(("", kind)) or DEFAULTS[kind].days
