"""Data by kind and age, in the database."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, delete, exists, func, literal, select, update
from sqlalchemy.orm import InstrumentedAttribute, Session

from trainer.persistence.models import LearnerRow
from trainer.persistence.people.drafts import ROSTER
from trainer.persistence.privacy.eraser import SqlEraser
from trainer.persistence.statements import insert_unless_there
from trainer.persistence.tables.accounts import PersonRow, SignedInRow, SingleUseTokenRow
from trainer.persistence.tables.operation import JobRow, RateCountRow, RetentionRow
from trainer.persistence.tables.organisations import MemberRow, OrganisationRow
from trainer.persistence.tables.papers import AccessArrangementRow
from trainer.persistence.tables.programmes import RecordRow
from trainer.persistence.tables.sittings import (
    GradingRow,
    ItemGradingRow,
    SavedAnswerRow,
    SittingBreakRow,
    SittingRow,
)
from trainer.services.papers.words import SittingState
from trainer.services.people.words import MemberState
from trainer.services.privacy.words import ERASED, Kept

_STATE_OF = {Kept.MEMBERS: MemberState.ENDED, Kept.INVITATIONS: MemberState.INVITED}


class SqlShelves:
    """Data by kind and age."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def organisations(self) -> Sequence[str]:
        """Ids of all organisations."""
        return tuple(self._session.scalars(select(OrganisationRow.id).order_by(OrganisationRow.id)))

    def count(self, kind: Kept, before: datetime, organisation_id: str) -> int:
        """How many rows are older."""
        column, condition = _old(kind, before, organisation_id)
        return self._session.execute(select(func.count(column)).where(condition)).scalar_one()

    def old(self, kind: Kept, before: datetime, organisation_id: str, limit: int) -> Sequence[str]:
        """What names up to so many that are older; of accounts those in no organisation, operators left out."""
        column, condition = _old(kind, before, organisation_id)
        return tuple(self._session.scalars(select(column).where(condition).order_by(column).limit(limit)))

    def clear(self, kind: Kept, before: datetime, organisation_id: str, names: Sequence[str]) -> int:
        """Deletes or empties those of them that are older still; gives the number. Not for kinds that are erased."""
        column, condition = _old(kind, before, organisation_id)
        ids = self._session.scalars(select(column).where(column.in_(names), condition)).all()
        if kind is Kept.SITTINGS:
            self._empty_sittings(ids)
        elif kind is Kept.RECORDS:
            for record_id in ids:
                SqlEraser(self._session).record(record_id, str(before))
        else:
            self._session.execute(delete(column.class_).where(column.in_(ids)))
        return len(ids)

    def times(self) -> Mapping[tuple[str, Kept], int]:
        """Days that were set, by organisation (empty: the site) and kind."""
        query = select(RetentionRow.organisation_id, RetentionRow.kind, RetentionRow.keep_days)
        known = {kind.value for kind in Kept}
        return {(row[0], Kept(row[1])): row[2] for row in self._session.execute(query) if row[1] in known}

    def set_time(self, organisation_id: str, kind: Kept, days: int, at: datetime) -> None:
        """Sets a time."""
        values = {"organisation_id": organisation_id, "kind": kind.value, "keep_days": days, "changed_at": at}
        if not insert_unless_there(self._session, RetentionRow, values):
            same = (RetentionRow.organisation_id == organisation_id) & (RetentionRow.kind == kind.value)
            self._session.execute(update(RetentionRow).where(same).values(keep_days=days, changed_at=at))

    def _empty_sittings(self, ids: Sequence[str]) -> None:
        gradings = select(GradingRow.id).where(GradingRow.sitting_id.in_(ids))
        self._session.execute(delete(SavedAnswerRow).where(SavedAnswerRow.sitting_id.in_(ids)))
        self._session.execute(delete(SittingBreakRow).where(SittingBreakRow.sitting_id.in_(ids)))
        self._session.execute(delete(ItemGradingRow).where(ItemGradingRow.grading_id.in_(gradings)))


def _old(kind: Kept, before: datetime, organisation_id: str) -> tuple[InstrumentedAttribute[str], ColumnElement[bool]]:
    """The column that names one row of the kind, and the condition of being older."""
    if kind in _STATE_OF:
        return MemberRow.id, _left(kind, before, organisation_id)
    column, condition = _CONDITIONS[kind](before)
    if kind in _OF_ORGANISATION:
        condition &= column.class_.organisation_id == organisation_id
    return column, condition


def _left(kind: Kept, before: datetime, organisation_id: str) -> ColumnElement[bool]:
    since = MemberRow.ended_at if kind is Kept.MEMBERS else MemberRow.created_at
    return (
        (MemberRow.organisation_id == organisation_id)
        & (MemberRow.state == _STATE_OF[kind].value)
        & (since < before)
        & (MemberRow.display_name != ERASED)
    )


def _practice(before: datetime) -> Any:
    owned = exists(literal(1)).where(PersonRow.learner_id == LearnerRow.id)
    return LearnerRow.id, (LearnerRow.last_seen_at < before) & ~owned


def _accounts(before: datetime) -> Any:
    joined = exists(literal(1)).where(MemberRow.person_id == PersonRow.id, MemberRow.state == MemberState.ACTIVE.value)
    unused = func.coalesce(PersonRow.last_signed_in_at, PersonRow.created_at) < literal(
        before, PersonRow.created_at.type
    )
    return PersonRow.id, unused & ~joined & ~PersonRow.is_operator


def _sittings(before: datetime) -> Any:
    # What is emptied already is not counted again.
    answered = exists(literal(1)).where(SavedAnswerRow.sitting_id == SittingRow.id)
    explained = exists(literal(1)).where(
        GradingRow.sitting_id == SittingRow.id, ItemGradingRow.grading_id == GradingRow.id
    )
    # What is not marked yet is still needed: without the answers it would earn nothing.
    waits = (SittingRow.state == SittingState.HANDED_IN.value) & SittingRow.grading_number.is_(None)
    return SittingRow.id, (SittingRow.handed_in_at < before) & ~waits & (answered | explained)


def _records(before: datetime) -> Any:
    end = func.coalesce(RecordRow.valid_until, RecordRow.issued_at)
    return RecordRow.id, (end < literal(before, RecordRow.issued_at.type)) & (RecordRow.holder_name != ERASED)


def _jobs(before: datetime) -> Any:
    return JobRow.id, (JobRow.finished_at < before) & (JobRow.kind != ROSTER)


def _sessions(before: datetime) -> Any:
    end = func.coalesce(SignedInRow.revoked_at, SignedInRow.expires_at)
    return SignedInRow.id, end < literal(before, SignedInRow.expires_at.type)


_OF_ORGANISATION = frozenset({Kept.ARRANGEMENTS, Kept.SITTINGS, Kept.RECORDS})
_CONDITIONS: dict[Kept, Any] = {
    Kept.COUNTS: lambda before: (RateCountRow.key, RateCountRow.expires_at < before),
    Kept.ROSTERS: lambda before: (JobRow.id, (JobRow.created_at < before) & (JobRow.kind == ROSTER)),
    Kept.LINKS: lambda before: (SingleUseTokenRow.token_hash, SingleUseTokenRow.expires_at < before),
    Kept.JOBS: _jobs,
    Kept.SESSIONS: _sessions,
    Kept.PRACTICE: _practice,
    Kept.ACCOUNTS: _accounts,
    Kept.ARRANGEMENTS: lambda before: (AccessArrangementRow.id, AccessArrangementRow.ended_at < before),
    Kept.SITTINGS: _sittings,
    Kept.RECORDS: _records,
}
