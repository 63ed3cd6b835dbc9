"""Graded submissions and what they add up to."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from sqlalchemy import bindparam, func, select, tuple_
from sqlalchemy.orm import Session

from trainer.domain.tasks import TaskKind
from trainer.persistence.models import AttemptRow, OutcomeRow, PageRow, RegradingRow, TaskRow
from trainer.persistence.statements import insert_unless_there
from trainer.services.storage import AttemptPlace, AttemptRecord, MisconceptionTally, ObjectiveOutcome, ObjectiveTally

_COLUMNS = tuple(name for name in AttemptRecord.__slots__ if name != "outcomes")
_AT_PAGE = select(AttemptRow).where(AttemptRow.page_id == bindparam("page_id")).order_by(AttemptRow.number)


class SqlAttempts:
    """Graded submissions."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def record(self, attempt: AttemptRecord) -> AttemptRecord:
        """Stores the attempt and gives it back, or gives back the one that was there first."""
        values = {name: getattr(attempt, name) for name in _COLUMNS}
        if insert_unless_there(self._session, AttemptRow, values):
            self._session.add_all(_outcome_rows(attempt))
            self._session.flush()
        return self._first_at(attempt.page_id, attempt.number)

    def get(self, attempt_id: str) -> AttemptRecord | None:
        """The attempt with this id."""
        row = self._session.get(AttemptRow, attempt_id)
        return None if row is None else _record(row)

    def at_page(self, page_id: str) -> Sequence[AttemptRecord]:
        """All attempts at a page, first to last."""
        return tuple(_record(row) for row in self._session.scalars(_AT_PAGE, {"page_id": page_id}))

    def latest_of(self, learner_id: str, *, limit: int) -> Sequence[AttemptRecord]:
        """The newest attempts of a learner, newest first."""
        query = (
            select(AttemptRow)
            .where(AttemptRow.learner_id == learner_id)
            .order_by(AttemptRow.submitted_at.desc(), AttemptRow.id)
            .limit(limit)
        )
        return tuple(_record(row) for row in self._session.scalars(query))

    def levels_at(self, page_ids: Collection[str], kind: TaskKind) -> Mapping[str, int]:
        """The level of the task at each of these pages that shows one of a kind."""
        query = (
            select(PageRow.id, TaskRow.level)
            .join(TaskRow, TaskRow.content_hash == PageRow.content_hash)
            .where(PageRow.id.in_(page_ids), TaskRow.kind == kind.value)
        )
        return {page_id: level for page_id, level in self._session.execute(query)}  # noqa: C416 - rows are no pairs to a type checker

    def after(self, place: AttemptPlace | None, *, limit: int) -> Sequence[AttemptPlace]:
        """The next attempts of all by page and number, from the first where ``place`` is None."""
        order = (AttemptRow.page_id, AttemptRow.number)
        query = select(*order, AttemptRow.id, AttemptRow.rule_set_version).order_by(*order).limit(limit)
        if place is not None:
            # As one value of two columns: the index then leads straight to the place.
            query = query.where(tuple_(*order) > (place.page_id, place.number))
        rows = self._session.execute(query).all()
        again = self._versions_of_regradings([row.id for row in rows])
        return tuple(
            AttemptPlace(
                page_id=row.page_id,
                number=row.number,
                attempt_id=row.id,
                rule_set_versions=(row.rule_set_version, *again.get(row.id, ())),
            )
            for row in rows
        )

    def _versions_of_regradings(self, ids: list[str]) -> dict[str, list[str]]:
        query = (
            select(RegradingRow.attempt_id, RegradingRow.rule_set_version)
            .where(RegradingRow.attempt_id.in_(ids))
            .order_by(RegradingRow.regraded_at, RegradingRow.rule_set_version)
        )
        versions: dict[str, list[str]] = {}
        for attempt_id, rule_set_version in self._session.execute(query):
            versions.setdefault(attempt_id, []).append(rule_set_version)
        return versions

    def count(self) -> int:
        """How many attempts there are in all."""
        return self._session.scalars(select(func.count()).select_from(AttemptRow)).one()

    def objective_tallies(self, learner_id: str) -> Sequence[ObjectiveTally]:
        """One tally for each objective that the learner has met, by objective id."""
        query = (
            select(
                OutcomeRow.objective_id,
                func.count(),
                func.sum(OutcomeRow.marks),
                func.sum(OutcomeRow.marks_available),
                func.max(AttemptRow.submitted_at),
            )
            .join(AttemptRow, AttemptRow.id == OutcomeRow.attempt_id)
            .where(OutcomeRow.learner_id == learner_id)
            .group_by(OutcomeRow.objective_id)
            .order_by(OutcomeRow.objective_id)
        )
        return tuple(
            ObjectiveTally(
                objective_id=objective,
                decisions=count,
                marks=marks,
                marks_available=available,
                last_practised_at=last,
            )
            for objective, count, marks, available, last in self._session.execute(query)
        )

    def misconception_tallies(self, learner_id: str) -> Sequence[MisconceptionTally]:
        """One tally for each misconception that the learner has shown, most frequent first."""
        query = (
            select(OutcomeRow.misconception_id, func.count(), func.max(AttemptRow.submitted_at))
            .join(AttemptRow, AttemptRow.id == OutcomeRow.attempt_id)
            .where(OutcomeRow.learner_id == learner_id, OutcomeRow.misconception_id.is_not(None))
            .group_by(OutcomeRow.misconception_id)
            .order_by(func.count().desc(), OutcomeRow.misconception_id)
        )
        return tuple(
            MisconceptionTally(misconception_id=misconception, times=times, last_shown_at=last)
            for misconception, times, last in self._session.execute(query)
            if misconception is not None
        )

    def _first_at(self, page_id: str, number: int) -> AttemptRecord:
        query = select(AttemptRow).where(AttemptRow.page_id == page_id, AttemptRow.number == number)
        return _record(self._session.scalars(query).one())


def _outcome_rows(attempt: AttemptRecord) -> list[OutcomeRow]:
    return [
        OutcomeRow(
            attempt_id=attempt.id,
            position=position,
            learner_id=attempt.learner_id,
            objective_id=outcome.objective_id,
            misconception_id=outcome.misconception_id,
            marks=outcome.marks,
            marks_available=outcome.marks_available,
        )
        for position, outcome in enumerate(attempt.outcomes)
    ]


def _record(row: AttemptRow) -> AttemptRecord:
    outcomes = tuple(
        ObjectiveOutcome(
            objective_id=outcome.objective_id,
            misconception_id=outcome.misconception_id,
            marks=outcome.marks,
            marks_available=outcome.marks_available,
        )
        for outcome in row.outcomes
    )
    return AttemptRecord(**{name: getattr(row, name) for name in _COLUMNS}, outcomes=outcomes)
