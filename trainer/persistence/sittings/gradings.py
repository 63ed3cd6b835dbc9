"""Markings of sittings, in the database."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import delete, select, update
from sqlalchemy.orm import Session

from trainer.persistence.people.rows import fields_of, values_of
from trainer.persistence.statements import insert_unless_there
from trainer.persistence.tables.sittings import (
    DecisionOutcomeRow,
    GradingRow,
    ItemGradingRow,
    SittingObjectiveRow,
    SittingRow,
)
from trainer.services.sittings.records import Grading, ItemGrading, Sitting

_LISTED = ("items", "outcomes", "objectives")


class SqlGradings:
    """Markings."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def record(self, sitting: Sitting, grading: Grading) -> bool:
        """Stores a marking with all that is derived from it, and lets it count; False when it was there."""
        bare = {name: getattr(grading, name) for name in Grading.__slots__ if name not in _LISTED}
        if not insert_unless_there(self._session, GradingRow, bare):
            return False
        for table in (DecisionOutcomeRow, SittingObjectiveRow):
            self._session.execute(delete(table).where(table.sitting_id == sitting.id))
        self._session.add_all([ItemGradingRow(grading_id=grading.id, **fields_of(each)) for each in grading.items])
        self._session.add_all(
            [
                DecisionOutcomeRow(sitting_id=sitting.id, paper_id=sitting.paper_id, **fields_of(each))
                for each in grading.outcomes
            ]
        )
        whose = {
            "sitting_id": sitting.id,
            "organisation_id": sitting.organisation_id,
            "member_id": sitting.member_id,
        }
        self._session.add_all([SittingObjectiveRow(**whose, **fields_of(each)) for each in grading.objectives])
        self._session.flush()
        counts = {"grading_number": grading.number, "marks": grading.marks, "marks_available": grading.marks_available}
        statement = update(SittingRow).where(SittingRow.id == sitting.id)
        self._session.execute(statement.values(**counts, safe_to_energise=grading.safe_to_energise))
        return True

    def items(self, sitting_id: str, number: int, *, position: int | None = None) -> Sequence[ItemGrading]:
        """The items of a marking in order, or only one of them."""
        query = (
            select(ItemGradingRow)
            .join(GradingRow, GradingRow.id == ItemGradingRow.grading_id)
            .where(GradingRow.sitting_id == sitting_id, GradingRow.number == number)
            .order_by(ItemGradingRow.position)
        )
        if position is not None:
            query = query.where(ItemGradingRow.position == position)
        return tuple(ItemGrading(**values_of(row, ItemGrading)) for row in self._session.scalars(query))
