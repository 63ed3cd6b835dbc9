"""Sittings as staff read and moderate them, in the database."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import func, select, update
from sqlalchemy.orm import Session

from trainer.persistence.papers.papers import paper_from
from trainer.persistence.tables.organisations import MemberRow
from trainer.persistence.tables.papers import PaperRow
from trainer.persistence.tables.sittings import (
    DecisionOutcomeRow,
    GradingRow,
    ItemGradingRow,
    SavedAnswerRow,
    SittingItemRow,
    SittingObjectiveRow,
    SittingRow,
)
from trainer.services.papers.records import ItemMark, Outcome, Paper, SittingLine
from trainer.services.papers.words import HandedInBy, SittingState

_COUNTS = ("display_name", "items", "answered", "last_saved_at")
_EMPTY = "{}"


class SqlPaperSittings:
    """Sittings as staff read and moderate them."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def lines(self, organisation_id: str, paper_id: str, *, progress: bool = False) -> Sequence[SittingLine]:
        """All sittings of a paper by candidate number; with ``progress`` also what was saved when."""
        query = _lines().where(SittingRow.organisation_id == organisation_id, SittingRow.paper_id == paper_id)
        rows = self._session.execute(query.order_by(SittingRow.candidate_number, SittingRow.id)).all()
        saved = self._saved(paper_id) if progress else {}
        return tuple(_line(sitting, name, saved.get(sitting.id, {})) for sitting, name in rows)

    def line(self, organisation_id: str, sitting_id: str) -> tuple[Paper, SittingLine] | None:
        """One sitting of a paper."""
        query = _lines().add_columns(PaperRow).join(PaperRow, PaperRow.id == SittingRow.paper_id)
        query = query.where(SittingRow.organisation_id == organisation_id, SittingRow.id == sitting_id)
        found = self._session.execute(query.execution_options(populate_existing=True)).first()
        return None if found is None else (paper_from(found[2]), _line(found[0], found[1], {}))

    def item_marks(self, paper_id: str, sitting_id: str | None = None) -> Sequence[ItemMark]:
        """The marks of every item in the gradings that count, by sitting and position."""
        query = (
            select(
                SittingItemRow.sitting_id,
                SittingItemRow.position,
                SittingItemRow.slot,
                SittingItemRow.content_hash,
                ItemGradingRow.marks,
                ItemGradingRow.marks_available,
            )
            .join(SittingRow, SittingRow.id == SittingItemRow.sitting_id)
            .join(GradingRow, _counts_now())
            .join(
                ItemGradingRow,
                (ItemGradingRow.grading_id == GradingRow.id) & (ItemGradingRow.position == SittingItemRow.position),
            )
            .where(SittingRow.paper_id == paper_id)
            .order_by(SittingItemRow.sitting_id, SittingItemRow.position)
        )
        if sitting_id is not None:
            query = query.where(SittingRow.id == sitting_id)
        return tuple(ItemMark(**dict(row._mapping)) for row in self._session.execute(query))  # noqa: SLF001 - documented

    def grade(self, sitting_id: str, position: int) -> bytes | None:
        """The grade of an item with its explanations, in the grading that counts."""
        query = (
            select(ItemGradingRow.grade_json)
            .join(GradingRow, GradingRow.id == ItemGradingRow.grading_id)
            .join(SittingRow, _counts_now())
            .where(SittingRow.id == sitting_id, ItemGradingRow.position == position)
        )
        return self._session.scalars(query).first()

    def answers(self, sitting_id: str) -> Mapping[int, tuple[str, str]]:
        """Answers and certainties as JSON by position."""
        row = SavedAnswerRow
        query = select(row.position, row.answers_json, row.certainty_json).where(row.sitting_id == sitting_id)
        return {position: (answers, sure) for position, answers, sure in self._session.execute(query)}

    def set_marks(self, sitting_id: str, marks: int, marks_available: int) -> None:
        """Stores the marks that count."""
        statement = update(SittingRow).where(SittingRow.id == sitting_id)
        self._session.execute(statement.values(marks=marks, marks_available=marks_available))

    def rule_sets(self, paper_id: str) -> Mapping[str, str]:
        """The rule set version of the grading that counts, by sitting."""
        query = select(SittingRow.id, GradingRow.rule_set_version).join(GradingRow, _counts_now())
        rows = self._session.execute(query.where(SittingRow.paper_id == paper_id))
        return {row[0]: row[1] for row in rows}

    def outcomes(self, paper_id: str) -> Sequence[Outcome]:
        """How every decision ended, in the gradings that count."""
        columns = [getattr(DecisionOutcomeRow, name) for name in Outcome.__slots__]
        query = select(*columns).where(DecisionOutcomeRow.paper_id == paper_id)
        return tuple(Outcome(**dict(row._mapping)) for row in self._session.execute(query))  # noqa: SLF001 - documented

    def objective_sums(self, paper_id: str) -> Sequence[tuple[str, str, int, int]]:
        """(sitting, objective, marks, marks available) of the gradings that count."""
        row = SittingObjectiveRow
        query = select(row.sitting_id, row.objective_id, row.marks, row.marks_available)
        query = query.join(SittingRow, SittingRow.id == row.sitting_id).where(SittingRow.paper_id == paper_id)
        return tuple((each[0], each[1], each[2], each[3]) for each in self._session.execute(query))

    def basis(self, paper_id: str) -> Sequence[tuple[str, int | None, int | None]]:
        """(sitting, grading number, marks) of everything handed in: what figures rest on."""
        query = select(SittingRow.id, SittingRow.grading_number, SittingRow.marks).where(
            SittingRow.paper_id == paper_id, SittingRow.state == SittingState.HANDED_IN.value
        )
        return tuple((row[0], row[1], row[2]) for row in self._session.execute(query.order_by(SittingRow.id)))

    def _saved(self, paper_id: str) -> Mapping[str, dict[str, Any]]:
        answered = SavedAnswerRow.answers_json != _EMPTY
        query = (
            select(
                SittingItemRow.sitting_id,
                func.count(),
                func.count(SavedAnswerRow.position).filter(answered),
                func.max(SavedAnswerRow.saved_at),
            )
            .join(SittingRow, SittingRow.id == SittingItemRow.sitting_id)
            .outerjoin(
                SavedAnswerRow,
                (SavedAnswerRow.sitting_id == SittingItemRow.sitting_id)
                & (SavedAnswerRow.position == SittingItemRow.position),
            )
            .where(SittingRow.paper_id == paper_id)
            .group_by(SittingItemRow.sitting_id)
        )
        return {
            row[0]: {"items": row[1], "answered": row[2], "last_saved_at": row[3]}
            for row in self._session.execute(query)
        }


def _lines() -> Any:
    return select(SittingRow, MemberRow.display_name).join(MemberRow, MemberRow.id == SittingRow.member_id)


def _counts_now() -> Any:
    return (GradingRow.sitting_id == SittingRow.id) & (GradingRow.number == SittingRow.grading_number)


def _line(row: SittingRow, name: str, saved: Mapping[str, Any]) -> SittingLine:
    names = (each for each in SittingLine.__slots__ if each not in _COUNTS)
    values = {each: getattr(row, each) for each in names}
    values["state"] = SittingState(row.state)
    values["handed_in_by"] = None if row.handed_in_by is None else HandedInBy(row.handed_in_by)
    return SittingLine(**values, display_name=name, **saved)
