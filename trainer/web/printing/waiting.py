"""Entries from paper that were begun and not handed in: how many of a paper, and until when each stays."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from trainer.persistence.jobs.repositories import job_repositories
from trainer.persistence.privacy.repositories import privacy_repositories
from trainer.services.people.here import Here
from trainer.services.privacy.retention import Retention
from trainer.services.privacy.words import Kept
from trainer.services.sittings.entries import Entries, Entry
from trainer.web.wiring import wiring


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """How many entries wait to be handed in, and when the first of them is cleared."""

    number: int
    first_until: datetime | None


def entries_desk() -> Entries:
    """Entries over this application's storage."""
    wired = wiring()
    return Entries(storage=wired.storage.scopes(job_repositories), now=wired.now)


def kept_for() -> timedelta:
    """How long an entry stays after it was last saved: as long as jobs, by the site's own time if it has one."""
    wired = wiring()
    retention = Retention(storage=wired.storage.scopes(privacy_repositories), now=wired.now, new_id=wired.new_id)
    return timedelta(days=retention.times()[Kept.JOBS])


def waiting_of(here: Here, paper_id: str, member_ids: Sequence[str]) -> Waiting:
    """What waits of some people's entries of a paper."""
    found = entries_desk().of_paper(here, paper_id, member_ids).values()
    return Waiting(number=len(found), first_until=first_until(found) if found else None)


def first_until(entries: Iterable[Entry]) -> datetime | None:
    """When the first of some entries is cleared."""
    saved = [each.saved_at for each in entries if each.saved_at is not None]
    return min(saved) + kept_for() if saved else None
