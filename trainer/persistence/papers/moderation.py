"""Moderations, re-gradings, appeals and stored figures in the database."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

from sqlalchemy import delete, func, select, update
from sqlalchemy.orm import Session

from trainer.persistence.people.rows import fields_of, values_of
from trainer.persistence.statements import insert_unless_there
from trainer.persistence.tables.moderation import AppealRow, ModerationRow, PaperRegradingRow
from trainer.persistence.tables.papers import PaperFiguresRow
from trainer.persistence.tables.sittings import SittingRow
from trainer.services.papers.records import Appeal, Moderation, Regrading, StoredFigures
from trainer.services.papers.words import AppealState, ModerationKind


class SqlModerations:
    """What people do to marks after the sitting."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, moderation: Moderation) -> None:
        """Stores a new one."""
        self._session.add(ModerationRow(**fields_of(moderation)))
        self._session.flush()

    def of_paper(self, organisation_id: str, paper_id: str) -> Sequence[Moderation]:
        """All of a paper, oldest first."""
        query = select(ModerationRow).where(
            ModerationRow.organisation_id == organisation_id, ModerationRow.paper_id == paper_id
        )
        query = query.order_by(ModerationRow.made_at, ModerationRow.id).execution_options(populate_existing=True)
        return tuple(
            Moderation(**{**values_of(row, Moderation), "kind": ModerationKind(row.kind)})
            for row in self._session.scalars(query)
        )

    def withdraw(self, organisation_id: str, moderation_id: str, at: datetime) -> bool:
        """Takes one back; False where there is none that counts."""
        theirs = (ModerationRow.organisation_id == organisation_id) & (ModerationRow.id == moderation_id)
        statement = update(ModerationRow).where(theirs, ModerationRow.withdrawn_at.is_(None)).values(withdrawn_at=at)
        return self._session.execute(statement.returning(ModerationRow.id)).first() is not None

    def add_regrading(self, regrading: Regrading) -> None:
        """Stores a report."""
        self._session.add(PaperRegradingRow(**fields_of(regrading)))
        self._session.flush()

    def regradings(self, organisation_id: str, paper_id: str) -> Sequence[Regrading]:
        """The reports of a paper, newest first."""
        query = select(PaperRegradingRow).where(
            PaperRegradingRow.organisation_id == organisation_id, PaperRegradingRow.paper_id == paper_id
        )
        rows = self._session.scalars(query.order_by(PaperRegradingRow.made_at.desc(), PaperRegradingRow.id))
        return tuple(Regrading(**values_of(row, Regrading)) for row in rows)

    def apply_regrading(self, regrading_id: str, member_id: str, at: datetime) -> bool:
        """Notes that a report was applied; of several at once one gets True."""
        row = PaperRegradingRow
        statement = update(row).where(row.id == regrading_id, row.applied_at.is_(None))
        statement = statement.values(applied_by=member_id, applied_at=at)
        return self._session.execute(statement.returning(row.id)).first() is not None


class SqlAppeals:
    """Notes of learners that a mark is wrong."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, appeal: Appeal) -> None:
        """Stores a new one."""
        self._session.add(AppealRow(**fields_of(appeal)))
        self._session.flush()

    def get(self, organisation_id: str, appeal_id: str) -> Appeal | None:
        """The one with this id."""
        query = select(AppealRow).where(AppealRow.organisation_id == organisation_id, AppealRow.id == appeal_id)
        row = self._session.scalars(query.execution_options(populate_existing=True)).first()
        return None if row is None else _appeal(row)

    def of_paper(self, organisation_id: str, paper_id: str) -> Sequence[Appeal]:
        """All of a paper, open ones first."""
        query = select(AppealRow).join(SittingRow, SittingRow.id == AppealRow.sitting_id)
        query = query.where(AppealRow.organisation_id == organisation_id, SittingRow.paper_id == paper_id)
        rows = self._session.scalars(query.order_by(AppealRow.state != AppealState.OPEN.value, AppealRow.raised_at))
        return tuple(_appeal(row) for row in rows)

    def of_sitting(self, organisation_id: str, sitting_id: str) -> Sequence[Appeal]:
        """Those of a sitting."""
        query = select(AppealRow).where(
            AppealRow.organisation_id == organisation_id, AppealRow.sitting_id == sitting_id
        )
        return tuple(_appeal(row) for row in self._session.scalars(query.order_by(AppealRow.raised_at)))

    def waiting(self, organisation_id: str) -> Mapping[str, int]:
        """By paper how many are not answered; papers without one are left out."""
        query = select(SittingRow.paper_id, func.count()).join(AppealRow, SittingRow.id == AppealRow.sitting_id)
        theirs = (AppealRow.organisation_id == organisation_id) & (AppealRow.state == AppealState.OPEN.value)
        rows = self._session.execute(
            query.where(theirs, SittingRow.paper_id.is_not(None)).group_by(SittingRow.paper_id)
        )
        return {str(paper_id): int(count) for paper_id, count in rows}

    def close(self, appeal: Appeal) -> bool:
        """Stores the answer; False when it was answered before."""
        theirs = (AppealRow.id == appeal.id) & (AppealRow.organisation_id == appeal.organisation_id)
        statement = update(AppealRow).where(theirs, AppealRow.state == AppealState.OPEN.value)
        statement = statement.values(**fields_of(appeal)).returning(AppealRow.id)
        return self._session.execute(statement).first() is not None


class SqlFiguresShelf:
    """Figures as they were last computed."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def get(self, paper_id: str, group_id: str) -> StoredFigures | None:
        """Those of a paper and group; an empty group is everybody."""
        row = self._session.get(PaperFiguresRow, (paper_id, group_id), populate_existing=True)
        return None if row is None else StoredFigures(**values_of(row, StoredFigures))

    def put(self, figures: StoredFigures) -> None:
        """Stores them in place of earlier ones."""
        row = PaperFiguresRow
        theirs = (row.paper_id == figures.paper_id) & (row.group_id == figures.group_id)
        self._session.execute(delete(row).where(theirs))
        insert_unless_there(self._session, row, fields_of(figures))


def _appeal(row: AppealRow) -> Appeal:
    return Appeal(**{**values_of(row, Appeal), "state": AppealState(row.state)})
