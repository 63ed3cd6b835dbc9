"""Access arrangements in the database."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from trainer.persistence.people.rows import fields_of, values_of
from trainer.persistence.tables.organisations import GroupMemberRow
from trainer.persistence.tables.papers import AccessArrangementRow, PaperGroupRow
from trainer.services.papers.records import Arrangement
from trainer.services.people.words import GroupPart


class SqlArrangements:
    """What people need in order to sit fairly."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, arrangement: Arrangement) -> None:
        """Stores a new one."""
        self._session.add(AccessArrangementRow(**fields_of(arrangement)))
        self._session.flush()

    def get(self, organisation_id: str, arrangement_id: str) -> Arrangement | None:
        """The one with this id."""
        query = select(AccessArrangementRow).where(
            AccessArrangementRow.organisation_id == organisation_id, AccessArrangementRow.id == arrangement_id
        )
        row = self._session.scalars(query).first()
        return None if row is None else _from(row)

    def end(self, organisation_id: str, arrangement_id: str, at: datetime) -> None:
        """Ends one."""
        theirs = (AccessArrangementRow.organisation_id == organisation_id) & (AccessArrangementRow.id == arrangement_id)
        statement = update(AccessArrangementRow).where(theirs, AccessArrangementRow.ended_at.is_(None))
        self._session.execute(statement.values(ended_at=at))

    def of_paper(self, organisation_id: str, paper_id: str) -> Sequence[Arrangement]:
        """Those in force for the candidates of a paper: of the paper, and of every paper."""
        learners = (
            select(GroupMemberRow.member_id)
            .join(PaperGroupRow, PaperGroupRow.group_id == GroupMemberRow.group_id)
            .where(PaperGroupRow.paper_id == paper_id, GroupMemberRow.part == GroupPart.LEARNS.value)
        )
        query = _in_force(organisation_id, paper_id).where(AccessArrangementRow.member_id.in_(learners))
        return tuple(_from(row) for row in self._session.scalars(query.order_by(AccessArrangementRow.created_at)))

    def of_member(self, organisation_id: str, member_id: str, paper_id: str) -> Sequence[Arrangement]:
        """Those in force for one member at one paper."""
        query = _in_force(organisation_id, paper_id).where(AccessArrangementRow.member_id == member_id)
        return tuple(_from(row) for row in self._session.scalars(query.order_by(AccessArrangementRow.created_at)))


def _in_force(organisation_id: str, paper_id: str) -> Any:
    row = AccessArrangementRow
    either = row.paper_id.is_(None) | (row.paper_id == paper_id)
    return select(row).where(row.organisation_id == organisation_id, row.ended_at.is_(None), either)


def _from(row: AccessArrangementRow) -> Arrangement:
    return Arrangement(**values_of(row, Arrangement))
