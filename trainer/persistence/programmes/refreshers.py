"""Sittings of assignments, in the database."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import func, insert, or_, select
from sqlalchemy.orm import Session

from trainer.persistence.models import TaskRow
from trainer.persistence.people.rows import fields_of
from trainer.persistence.statements import insert_unless_there
from trainer.persistence.tables.plan import ObjectiveStandingRow
from trainer.persistence.tables.programmes import AssignmentRow, ProgrammeRow, RecordRow
from trainer.persistence.tables.sittings import (
    DecisionOutcomeRow,
    GradingRow,
    SittingItemRow,
    SittingObjectiveRow,
    SittingRow,
)
from trainer.services.papers.words import HandedInBy, SittingState
from trainer.services.programmes.records import AskedLine, Share, Somebody
from trainer.services.sittings.records import Sitting, SittingItem

_AT_ONCE = 500
_COLUMNS = {column.key for column in SittingRow.__table__.columns}
_KEPT = [name for name in Sitting.__slots__ if name in _COLUMNS]


class SqlRefreshers:
    """Sittings of assignments."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, sitting: Sitting, items: Sequence[SittingItem]) -> bool:
        """Stores a sitting with its items; False when this attempt is there already."""
        if not insert_unless_there(self._session, SittingRow, _values(sitting)):
            return False
        rows = [{"sitting_id": sitting.id, **fields_of(each)} for each in items]
        self._session.execute(insert(SittingItemRow), rows)
        return True

    def latest(self, organisation_id: str, assignment_id: str) -> Sitting | None:
        """The newest sitting of an assignment."""
        row = SittingRow
        query = _fresh().where(row.organisation_id == organisation_id, row.assignment_id == assignment_id)
        found = self._session.scalars(query.order_by(row.number.desc()).limit(1)).first()
        return None if found is None else _sitting(found)

    def get(self, organisation_id: str, sitting_id: str) -> Sitting | None:
        """The sitting with this id, if it is one of a refresher."""
        row = SittingRow
        query = _fresh().where(row.organisation_id == organisation_id, row.id == sitting_id)
        found = self._session.scalars(query.where(row.assignment_id.is_not(None))).first()
        return None if found is None else _sitting(found)

    def to_settle(self, assignment_ids: Sequence[str] | None, limit: int) -> Sequence[Sitting]:
        """Sittings of some assignments or of all that pass, later than what was last passed, without a record."""
        row, record = SittingRow, RecordRow
        query = _fresh().join(AssignmentRow, AssignmentRow.id == row.assignment_id)
        later = or_(AssignmentRow.last_passed_at.is_(None), row.handed_in_at > AssignmentRow.last_passed_at)
        # Not by the state that is wanted: its index would lead through the sittings of all papers.
        query = query.where(row.state != SittingState.VOID.value, row.grading_number.is_not(None), later)
        # The standard here too, so that those who failed are not gone through again each time.
        query = query.join(ProgrammeRow, ProgrammeRow.id == AssignmentRow.programme_id)
        query = query.where(row.marks * 100 >= ProgrammeRow.pass_percent * row.marks_available)
        query = query.where(or_(row.safe_to_energise.is_(True), ~ProgrammeRow.critical_errors_fail))
        query = query.where(~select(record.id).where(record.sitting_id == row.id).exists())
        if assignment_ids is not None:
            query = query.where(row.assignment_id.in_(assignment_ids))
        return tuple(_sitting(each) for each in self._session.scalars(query.order_by(row.handed_in_at).limit(limit)))

    def rule_set(self, sitting_id: str, number: int) -> tuple[str, str] | None:
        """Edition and rule set of a marking."""
        query = select(GradingRow.edition, GradingRow.rule_set_version).where(
            GradingRow.sitting_id == sitting_id, GradingRow.number == number
        )
        row = self._session.execute(query).first()
        return None if row is None else (row[0], row[1])

    def sums(self, sitting_id: str) -> Sequence[Share]:
        """What it earned towards each objective."""
        row = SittingObjectiveRow
        query = select(row.objective_id, row.marks, row.marks_available).where(row.sitting_id == sitting_id)
        rows = self._session.execute(query.order_by(row.objective_id))
        return tuple(Share(objective_id=each[0], marks=each[1], marks_available=each[2]) for each in rows)

    def shares(self, organisation_id: str, member: Somebody) -> Mapping[str, Share]:
        """What the member earned towards each objective when it was last assessed, else in practice."""
        return {**self._practised(member), **self._assessed(organisation_id, member)}

    def _practised(self, member: Somebody) -> dict[str, Share]:
        row = ObjectiveStandingRow
        query = select(row.objective_id, row.marks, row.marks_available, row.last_at)
        rows = self._session.execute(query.where(row.learner_id == member.learner_id)) if member.learner_id else ()
        return {each[0]: _share(each[0], each[1], each[2], each[3]) for each in rows}

    def _assessed(self, organisation_id: str, member: Somebody) -> dict[str, Share]:
        row = SittingObjectiveRow
        query = (
            select(row.objective_id, row.marks, row.marks_available, SittingRow.handed_in_at, row.sitting_id)
            .join(SittingRow, SittingRow.id == row.sitting_id)
            .where(row.member_id == member.id, row.organisation_id == organisation_id)
            .where(SittingRow.handed_in_at.is_not(None))
            .order_by(SittingRow.handed_in_at)
        )
        newest = {each[0]: each for each in self._session.execute(query)}
        beliefs = self._beliefs({each[4] for each in newest.values()})
        return {
            name: _share(name, each[1], each[2], each[3], beliefs.get((each[4], name))) for name, each in newest.items()
        }

    def _beliefs(self, sittings: set[str]) -> dict[tuple[str, str], str]:
        row = DecisionOutcomeRow
        query = (
            select(row.sitting_id, row.objective_id, func.min(row.misconception_id))
            .where(row.sitting_id.in_(sorted(sittings)[:_AT_ONCE]), row.misconception_id.is_not(None))
            .group_by(row.sitting_id, row.objective_id)
        )
        return {(each[0], each[1]): each[2] or "" for each in self._session.execute(query)}

    def asked(self, sitting_ids: Sequence[str]) -> Sequence[AskedLine]:
        """Everything that was asked in some sittings, by sitting and position."""
        found: list[AskedLine] = []
        for start in range(0, len(sitting_ids), _AT_ONCE):
            rows = self._session.execute(_asked(sitting_ids[start : start + _AT_ONCE]))
            found += (AskedLine(**dict(row._mapping)) for row in rows)  # noqa: SLF001 - documented
        return tuple(found)


def _asked(sitting_ids: Sequence[str]) -> Any:
    item, outcome = SittingItemRow, DecisionOutcomeRow
    by = (
        item.sitting_id,
        item.position,
        TaskRow.kind,
        TaskRow.level,
        outcome.objective_id,
        GradingRow.edition,
        GradingRow.rule_set_version,
        item.content_hash,
    )
    return (
        select(*by, func.count().label("decisions"))
        .join(TaskRow, TaskRow.content_hash == item.content_hash)
        .join(SittingRow, SittingRow.id == item.sitting_id)
        .join(GradingRow, (GradingRow.sitting_id == SittingRow.id) & (GradingRow.number == SittingRow.grading_number))
        .join(outcome, (outcome.sitting_id == item.sitting_id) & (outcome.position == item.position))
        .where(item.sitting_id.in_(sitting_ids))
        .group_by(*by)
        .order_by(item.sitting_id, item.position, outcome.objective_id)
    )


def _share(name: str, marks: int, available: int, at: datetime | None, belief: str | None = None) -> Share:
    return Share(objective_id=name, marks=marks, marks_available=available, last_at=at, misconception_id=belief)


def _fresh() -> Any:
    return select(SittingRow).execution_options(populate_existing=True)


def _values(sitting: Sitting) -> dict[str, Any]:
    values = fields_of(sitting)
    return {name: values[name] for name in _KEPT}


def _sitting(row: SittingRow) -> Sitting:
    values = {name: getattr(row, name) for name in _KEPT}
    values["state"] = SittingState(row.state)
    values["handed_in_by"] = None if row.handed_in_by is None else HandedInBy(row.handed_in_by)
    return Sitting(**values)
