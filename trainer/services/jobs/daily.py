"""Jobs that nobody asks for: one of a kind for each day, however many runners there are.

The day is part of the job's id, so the database itself refuses a second one.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any

from trainer.services.jobs.records import new_job
from trainer.services.jobs.storage import JobRepositories
from trainer.services.scopes import Scopes


def daily_id(kind: str, day: datetime) -> str:
    """The id of the job of a kind for a day."""
    return f"{kind}.{day:%Y-%m-%d}"


def _nothing() -> tuple[Mapping[str, Any], int]:
    return {}, 1


def ask_for_today(
    storage: Scopes[JobRepositories],
    kind: str,
    now: datetime,
    wanted: Callable[[], tuple[Mapping[str, Any], int]] = _nothing,
    *,
    from_hour: int = 0,
) -> bool:
    """Asks for the job of today unless somebody did or it is too early; True when it was this call.

    ``wanted`` gives what it is to do and in how many parts, and is called only where it is asked for.
    """
    name = daily_id(kind, now)
    if now.hour < from_hour:
        return False
    with storage.reading() as stored:
        if stored.jobs.is_there(name):
            return False
    payload, parts = wanted()
    job = new_job(name, kind, payload, parts, now)
    with storage.writing() as stored:
        return stored.jobs.add_unless_there(job)
