"""Markings of sittings, in the database."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Insert, LargeBinary, bindparam, delete, insert, select, update
from sqlalchemy.orm import Session

from trainer.persistence.people.rows import fields_of, table_of, values_of
from trainer.persistence.statements import insert_unless_there
from trainer.persistence.tables.sittings import (
    DecisionOutcomeRow,
    GradingRow,
    ItemGradingRow,
    SittingObjectiveRow,
    SittingRow,
)
from trainer.persistence.types import packed
from trainer.services.sittings.records import Grading, ItemGrading, Sitting

_LISTED = ("items", "outcomes", "objectives")


class SqlGradings:
    """Markings."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def record(self, sitting: Sitting, grading: Grading) -> bool:
        """Stores a marking with all that is derived from it, and lets it count; False when it was there.

        Whatever takes time is done before the first statement: from there on others wait to write.
        """
        bare = {name: getattr(grading, name) for name in Grading.__slots__ if name not in _LISTED}
        derived = _rows_of(sitting, grading)
        counts: dict[str, Any] = {
            "marking": grading.number,
            "earned": grading.marks,
            "available": grading.marks_available,
            "sitting": sitting.id,
            "safe": grading.safe_to_energise,
        }
        if not insert_unless_there(self._session, GradingRow, bare):
            return False
        for delete_earlier in _EARLIER:
            self._session.execute(delete_earlier, {"sitting": sitting.id})
        for statement, rows in derived:
            self._session.execute(statement, rows)
        self._session.execute(_COUNTS, counts)
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


# A class that hands in is marked one after the other while others save, so the statements are made once.
_ITEM, _OUTCOME = table_of(ItemGradingRow), table_of(DecisionOutcomeRow)
_OBJECTIVE, _SITTING = table_of(SittingObjectiveRow), table_of(SittingRow)
_EARLIER = tuple(delete(table).where(table.c.sitting_id == bindparam("sitting")) for table in (_OUTCOME, _OBJECTIVE))
_ITEMS = insert(_ITEM).values(grade_json=bindparam("packed", type_=LargeBinary()))
_OUTCOMES, _OBJECTIVES = insert(_OUTCOME), insert(_OBJECTIVE)
_COUNTS = (
    update(_SITTING)
    .where(_SITTING.c.id == bindparam("sitting"))
    .values(
        grading_number=bindparam("marking"),
        marks=bindparam("earned"),
        marks_available=bindparam("available"),
        safe_to_energise=bindparam("safe"),
    )
)


def _rows_of(sitting: Sitting, grading: Grading) -> list[tuple[Insert, list[dict[str, Any]]]]:
    """What is derived from a marking, table by table; a table that gets nothing is left out."""
    whose = {"sitting_id": sitting.id, "organisation_id": sitting.organisation_id, "member_id": sitting.member_id}
    of_paper = {"sitting_id": sitting.id, "paper_id": sitting.paper_id}
    rows = (
        (_ITEMS, [_item_row(grading.id, each) for each in grading.items]),
        (_OUTCOMES, [{**of_paper, **fields_of(each)} for each in grading.outcomes]),
        (_OBJECTIVES, [{**whose, **fields_of(each)} for each in grading.objectives]),
    )
    return [(statement, listed) for statement, listed in rows if listed]


def _item_row(grading_id: str, item: ItemGrading) -> dict[str, Any]:
    values = fields_of(item)
    return {**values, "grading_id": grading_id, "packed": packed(values.pop("grade_json"))}
