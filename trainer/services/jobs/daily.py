"""Jobs that nobody asks for: one of a kind for each day, however many runners there are.

The day is part of the job's id, so the database itself refuses a second one.
"""

from __future__ import annotations

from datetime import datetime

from trainer.services.jobs.records import new_job
from trainer.services.jobs.storage import JobRepositories
from trainer.services.scopes import Scopes


def daily_id(kind: str, day: datetime) -> str:
    """The id of the job of a kind for a day."""
    return f"{kind}.{day:%Y-%m-%d}"


def ask_for_today(storage: Scopes[JobRepositories], kind: str, now: datetime) -> bool:
    """Asks for the job of today unless somebody did; True when it was this call."""
    name = daily_id(kind, now)
    with storage.reading() as stored:
        if stored.jobs.is_there(name):
            return False
    job = new_job(name, kind, {}, 1, now)
    with storage.writing() as stored:
        return stored.jobs.add_unless_there(job)
