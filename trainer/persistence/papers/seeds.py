"""Tasks that an organisation pinned or barred, read from what the audit chain tells of them.

The chain names each mark anyway, with who set it and when; the latest entry about a task holds.
"""

from __future__ import annotations

import json
from collections.abc import Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from trainer.domain.tasks import TaskKind
from trainer.persistence.tables.operation import AuditRow
from trainer.services.papers.records import MarkedSeed
from trainer.services.papers.words import SeedMark

_SUBJECT = "seed"
_MARKS = {f"seed.{mark.value}": mark for mark in SeedMark}


class SqlSeedMarks:
    """Answers ``trainer.services.papers.storage.SeedMarks``."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def of(self, organisation_id: str) -> Sequence[MarkedSeed]:
        """Those that hold now, newest first."""
        query = select(AuditRow).where(AuditRow.subject_kind == _SUBJECT, AuditRow.organisation_id == organisation_id)
        latest = {row.subject_id: row for row in self._session.scalars(query.order_by(AuditRow.number))}
        holding = [row for row in latest.values() if row.action in _MARKS]
        return tuple(_marked(row) for row in sorted(holding, key=lambda each: -each.number))


def _marked(row: AuditRow) -> MarkedSeed:
    facts = json.loads(row.details_json)
    return MarkedSeed(
        content_hash=row.subject_id,
        mark=_MARKS[row.action],
        seed=int(facts["seed"]),
        kind=TaskKind(facts["kind"]),
        level=facts["level"],
        archetype=facts["premises"],
        family=facts["family"],
        generator_version=facts["generator"],
        title=facts["title"],
        marked_by=row.actor_id or "",
        marked_at=row.at,
    )
