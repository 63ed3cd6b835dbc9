"""Training records, in the database."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from sqlalchemy import func, or_, select, tuple_, update
from sqlalchemy.orm import Session

from trainer.persistence.people.rows import fields_of, values_of
from trainer.persistence.programmes.people import chosen_people
from trainer.persistence.statements import insert_unless_there
from trainer.persistence.tables.organisations import MemberRow
from trainer.persistence.tables.programmes import RecordRow
from trainer.services.programmes.dates import start_of
from trainer.services.programmes.records import Filter, TrainingRecord
from trainer.services.programmes.words import NameVisibility


class SqlRecords:
    """Training records."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, record: TrainingRecord) -> bool:
        """Stores a new one; False when the sitting has one, or the code is taken."""
        return insert_unless_there(self._session, RecordRow, fields_of(record))

    def get(self, organisation_id: str, record_id: str) -> TrainingRecord | None:
        """The record with this id."""
        return self._one(RecordRow.organisation_id == organisation_id, RecordRow.id == record_id)

    def by_code(self, code: str) -> TrainingRecord | None:
        """The record with this code, in whatever organisation: for whoever was given the code."""
        return self._one(RecordRow.code == code)

    def of_sitting(self, sitting_id: str) -> TrainingRecord | None:
        """The record that a sitting gave."""
        return self._one(RecordRow.sitting_id == sitting_id)

    def of_member(self, organisation_id: str, member_id: str) -> Sequence[TrainingRecord]:
        """All records of a member, newest first."""
        query = _fresh().where(RecordRow.member_id == member_id, RecordRow.organisation_id == organisation_id)
        return _all(self._session.scalars(query.order_by(RecordRow.issued_at.desc(), RecordRow.id)))

    def page(
        self,
        organisation_id: str,
        chosen: Filter,
        after: tuple[str, str] | None,
        limit: int,
        *,
        in_force_on: date | None = None,
    ) -> Sequence[TrainingRecord]:
        """Records of an organisation, the longest valid first; or only those in force on a day."""
        query = _chosen(_fresh(), organisation_id, chosen, in_force_on)
        if after is not None:
            place = datetime.fromisoformat(after[0]), after[1]
            query = query.where(tuple_(RecordRow.valid_until, RecordRow.id) < place)
        return _all(
            self._session.scalars(query.order_by(RecordRow.valid_until.desc(), RecordRow.id.desc()).limit(limit))
        )

    def count(self, organisation_id: str, chosen: Filter, *, in_force_on: date | None = None) -> int:
        """How many all pages hold."""
        query = _chosen(select(func.count(RecordRow.id)), organisation_id, chosen, in_force_on)
        return int(self._session.execute(query).scalar_one())

    def change(self, record: TrainingRecord) -> None:
        """Stores visibility and revocation."""
        theirs = RecordRow.organisation_id == record.organisation_id, RecordRow.id == record.id
        values = {
            "name_visibility": record.name_visibility.value,
            "revoked_at": record.revoked_at,
            "revoked_by": record.revoked_by,
            "revoked_reason": record.revoked_reason,
        }
        self._session.execute(update(RecordRow).where(*theirs).values(**values))

    def _one(self, *conditions: Any) -> TrainingRecord | None:
        row = self._session.scalars(_fresh().where(*conditions)).first()
        return None if row is None else _record(row)


def _fresh() -> Any:
    return select(RecordRow).execution_options(populate_existing=True)


def _all(rows: Any) -> tuple[TrainingRecord, ...]:
    return tuple(_record(row) for row in rows)


def _chosen(query: Any, organisation_id: str, chosen: Filter, in_force_on: date | None) -> Any:
    query = query.where(RecordRow.organisation_id == organisation_id, RecordRow.valid_until.is_not(None))
    if chosen.site_id or chosen.trade_role_id or chosen.search:
        query = chosen_people(query.join(MemberRow, MemberRow.id == RecordRow.member_id), chosen)
    if in_force_on is not None:
        begins = start_of(in_force_on)
        query = query.where(RecordRow.revoked_at.is_(None))
        query = query.where(or_(RecordRow.valid_until.is_(None), RecordRow.valid_until >= begins))
    return query


def _record(row: RecordRow) -> TrainingRecord:
    values = {**values_of(row, TrainingRecord), "name_visibility": NameVisibility(row.name_visibility)}
    return TrainingRecord(**values)
