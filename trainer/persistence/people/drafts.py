"""Rosters that were sent and not yet taken over: kept beside the jobs, with their sender."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ColumnElement, delete, select
from sqlalchemy.orm import Session

from trainer.persistence.tables.operation import JobRow
from trainer.services.operation.words import JobState

ROSTER = "roster"


class SqlDrafts:
    """Drafts by id, organisation and sender."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, draft_id: str, organisation_id: str, person_id: str, text: str, at: datetime) -> None:
        """Keeps a draft; earlier ones of the same sender go."""
        mine = (JobRow.kind == ROSTER) & (JobRow.organisation_id == organisation_id) & (JobRow.asked_by == person_id)
        self._session.execute(delete(JobRow).where(mine))
        self._session.add(
            JobRow(
                id=draft_id,
                organisation_id=organisation_id,
                kind=ROSTER,
                # Nothing is left for a runner to do.
                state=JobState.DONE.value,
                payload_json=text,
                result_json="{}",
                failure="",
                progress_done=0,
                progress_total=0,
                tries=0,
                asked_by=person_id,
                created_at=at,
                finished_at=at,
            )
        )
        self._session.flush()

    def get(self, draft_id: str, organisation_id: str, person_id: str) -> str | None:
        """The text of a draft."""
        query = select(JobRow.payload_json).where(*_mine(draft_id, organisation_id, person_id))
        return self._session.execute(query).scalar_one_or_none()

    def remove(self, draft_id: str, organisation_id: str, person_id: str) -> None:
        """Throws a draft away."""
        self._session.execute(delete(JobRow).where(*_mine(draft_id, organisation_id, person_id)))


def _mine(draft_id: str, organisation_id: str, person_id: str) -> tuple[ColumnElement[bool], ...]:
    return (
        JobRow.id == draft_id,
        JobRow.kind == ROSTER,
        JobRow.organisation_id == organisation_id,
        JobRow.asked_by == person_id,
    )
