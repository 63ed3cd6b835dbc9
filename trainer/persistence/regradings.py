"""Attempts that were judged again, beside what they were given first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from trainer.persistence.models import RegradingRow
from trainer.persistence.statements import insert_unless_there
from trainer.services.storage import RegradingRecord

_COLUMNS = RegradingRecord.__slots__


class SqlRegradings:
    """Results of judging attempts again."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def record(self, regrading: RegradingRecord) -> RegradingRecord:
        """Stores the result and gives it back, or gives back the one that was there first."""
        insert_unless_there(self._session, RegradingRow, {name: getattr(regrading, name) for name in _COLUMNS})
        key = (regrading.attempt_id, regrading.rule_set_version, regrading.edition)
        return _record(self._session.get_one(RegradingRow, key))

    def of(self, attempt_ids: Sequence[str]) -> Mapping[str, Sequence[RegradingRecord]]:
        """For each of the attempts that was judged again its results, oldest first."""
        query = (
            select(RegradingRow)
            .where(RegradingRow.attempt_id.in_(attempt_ids))
            .order_by(RegradingRow.regraded_at, RegradingRow.rule_set_version, RegradingRow.edition)
        )
        found: dict[str, list[RegradingRecord]] = {}
        for row in self._session.scalars(query):
            found.setdefault(row.attempt_id, []).append(_record(row))
        return found


def _record(row: RegradingRow) -> RegradingRecord:
    return RegradingRecord(**{name: getattr(row, name) for name in _COLUMNS})
