"""The save of somebody who sits and is in time: what nearly every save is, in as few statements as the database lets.

*Source* postgresql.org, "Data-Modifying Statements in WITH" (the parts are one statement, and whoever
reads what another part returns comes after it) and "Read Committed" (an update that waited looks at
its conditions anew); sqlite.org, "RETURNING".
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import bindparam, case, exists, func, select, update
from sqlalchemy.dialects import postgresql

from trainer.persistence.database import Database
from trainer.persistence.people.rows import table_of
from trainer.persistence.prepared import Driven, Prepared
from trainer.persistence.sittings.answers import PUT, put
from trainer.persistence.tables.sittings import SittingRow
from trainer.persistence.types import UtcDateTime
from trainer.services.papers.words import SittingState
from trainer.services.sittings.clock import CLOCK_SLACK_S
from trainer.services.sittings.records import SavedAnswer


class SqlTimelySaves:
    """Answers ``trainer.services.sittings.storage.TimelySaves``."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def keep(
        self, organisation_id: str, member_id: str, sitting_id: str, answer: SavedAnswer, *, base: int
    ) -> datetime | None:
        """The deadline, once the answer is durable; None, and nothing of it, where anything else is to be said."""
        values: dict[str, Any] = {name: getattr(answer, name) for name in SavedAnswer.__slots__}
        values.update(_looking(organisation_id, member_id, sitting_id, answer.saved_at), base=base)
        with self._database.at_once() as asked:
            return _KEEP[self._database.kind](asked, values)

    def look(self, organisation_id: str, member_id: str, sitting_id: str, at: datetime) -> datetime | None:
        """The deadline, once the look at the clock is noted; None where the sitting does not simply run."""
        with self._database.at_once() as asked:
            looked = asked.first(_LOOKED, _looking(organisation_id, member_id, sitting_id, at))
        return looked[0] if looked else None


def _looking(organisation_id: str, member_id: str, sitting_id: str, at: datetime) -> dict[str, Any]:
    return {
        "organisation": organisation_id,
        "member": member_id,
        "sitting_id": sitting_id,
        "saved_at": at,
        "back_to": at + timedelta(seconds=CLOCK_SLACK_S),
    }


_SITTING = table_of(SittingRow)


def _look() -> Any:
    """Notes the look at the clock of a sitting that runs, is in time, and whose clock was not set back."""
    now, seen = (
        bindparam("saved_at", type_=UtcDateTime()),
        func.coalesce(_SITTING.c.last_seen_at, _SITTING.c.started_at),
    )
    simply_runs = (
        _SITTING.c.id == bindparam("sitting_id"),
        _SITTING.c.organisation_id == bindparam("organisation"),
        _SITTING.c.member_id == bindparam("member"),
        _SITTING.c.state == SittingState.RUNNING.value,
        _SITTING.c.deadline_at >= now,
        seen <= bindparam("back_to", type_=UtcDateTime()),
    )
    later = case((seen > now, seen), else_=now)
    return update(_SITTING).where(*simply_runs).values(last_seen_at=later).returning(_SITTING.c.deadline_at)


# Nothing is asked for as often, so the statements are made once.
_LOOK = _look()
_BESIDE = _LOOK.cte("looked")
_LOOKED = Prepared(_LOOK)
_PUT = Prepared(PUT["sqlite"])
_BOTH = Prepared(select(_BESIDE.c.deadline_at, exists(put(postgresql.insert, beside=_BESIDE).cte("put"))))


def _keep_in_two(asked: Driven, values: Mapping[str, Any]) -> datetime | None:
    looked = asked.first(_LOOKED, values)
    return looked[0] if looked and asked.first(_PUT, values) else None


def _keep_in_one(asked: Driven, values: Mapping[str, Any]) -> datetime | None:
    kept = asked.first(_BOTH, values)
    return kept[0] if kept and kept[1] else None


_KEEP = {"sqlite": _keep_in_two, "postgresql": _keep_in_one}
