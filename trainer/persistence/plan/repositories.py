"""Answers ``trainer.services.plan.storage``."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ColumnElement, Select, and_, delete, exists, func, select
from sqlalchemy.orm import Session

from trainer.persistence.models import AttemptRow, LearnerRow, OutcomeRow, PageRow, TaskRow
from trainer.persistence.papers.moderation import SqlModerations
from trainer.persistence.papers.sittings import SqlPaperSittings
from trainer.persistence.plan.sat import SqlSat
from trainer.persistence.tables.plan import ObjectiveStandingRow, ScheduleCardRow, ScheduleReviewRow
from trainer.services.plan.scheduling import CardState
from trainer.services.plan.standing import Standing
from trainer.services.plan.storage import Done, Occasion, OpenPage, Review
from trainer.services.plan.words import Rating


class SqlPlans(SqlSat):
    """Cards, and the practice that they rest on."""

    def hold(self, learner_id: str) -> None:
        """Lets nobody else move the cards of a learner until the end of the transaction."""
        self._session.execute(select(LearnerRow.id).where(LearnerRow.id == learner_id).with_for_update())

    def unreviewed(self, learner_id: str) -> Sequence[Occasion]:
        """Occasions that no card has counted, oldest first."""
        return tuple(Occasion(**row) for row in self._session.execute(_unreviewed(learner_id)).mappings())

    def count(self, learner_id: str, rated: Sequence[tuple[Occasion, Rating]]) -> None:
        """Notes that occasions move their cards."""
        self._session.add_all(
            ScheduleReviewRow(
                learner_id=learner_id,
                objective_id=each.objective_id,
                source_id=each.source_id,
                rating=rating.value,
                reviewed_at=each.at,
            )
            for each, rating in rated
        )
        self._session.flush()

    def keep(self, learner_id: str, cards: Iterable[CardState], standings: Iterable[Standing]) -> None:
        """Stores cards and sums in the place of those before."""
        for card in cards:
            values = {name: getattr(card, name) for name in CardState.__slots__}
            self._session.merge(ScheduleCardRow(learner_id=learner_id, **values))
        for standing in standings:
            values = {name: getattr(standing, name) for name in Standing.__slots__}
            self._session.merge(ObjectiveStandingRow(learner_id=learner_id, **values))
        self._session.flush()

    def reviews(self, learner_id: str, objective_ids: Collection[str]) -> Sequence[Review]:
        """All that moved the cards of these objectives, in the order of time."""
        return self._reviews(learner_id, ScheduleReviewRow.objective_id.in_(sorted(objective_ids)))

    def reviews_of(self, learner_id: str, source_ids: Collection[str]) -> Sequence[Review]:
        """All cards that these attempts or sittings moved."""
        return self._reviews(learner_id, ScheduleReviewRow.source_id.in_(sorted(source_ids)))

    def _reviews(self, learner_id: str, which: ColumnElement[bool]) -> Sequence[Review]:
        row = ScheduleReviewRow
        query = select(row.objective_id, row.source_id, row.rating, row.reviewed_at.label("at"))
        query = query.where(row.learner_id == learner_id, which).order_by(row.reviewed_at, row.source_id)
        return tuple(
            Review(objective_id=each[0], source_id=each[1], rating=Rating(each[2]), at=each[3])
            for each in self._session.execute(query)
        )

    def practised(self, learner_id: str, objective_ids: Collection[str]) -> Sequence[Standing]:
        """What attempts earned towards these objectives."""
        query = (
            select(
                OutcomeRow.objective_id,
                func.count().label("decisions"),
                func.sum(OutcomeRow.marks).label("marks"),
                func.sum(OutcomeRow.marks_available).label("marks_available"),
                func.max(AttemptRow.submitted_at).label("last_at"),
            )
            .join(AttemptRow, AttemptRow.id == OutcomeRow.attempt_id)
            .where(OutcomeRow.learner_id == learner_id, OutcomeRow.objective_id.in_(sorted(objective_ids)))
            .group_by(OutcomeRow.objective_id)
        )
        return tuple(Standing(**row) for row in self._session.execute(query).mappings())

    def uncount(self, learner_id: str, reviews: Iterable[Review]) -> None:
        """Takes back that occasions moved their cards."""
        row = ScheduleReviewRow
        for each in reviews:
            own = (row.objective_id == each.objective_id) & (row.source_id == each.source_id)
            self._session.execute(delete(row).where(row.learner_id == learner_id, own))

    def forget(self, learner_id: str, objective_ids: Collection[str]) -> None:
        """Takes away cards and sums of objectives that were met on no occasion."""
        for table in (ScheduleCardRow, ObjectiveStandingRow):
            theirs = table.objective_id.in_(sorted(objective_ids))
            self._session.execute(delete(table).where(table.learner_id == learner_id, theirs))

    def cards(self, learner_id: str) -> Sequence[CardState]:
        """All cards of a learner."""
        query = select(ScheduleCardRow).where(ScheduleCardRow.learner_id == learner_id)
        return tuple(_card(row) for row in self._session.scalars(query.order_by(ScheduleCardRow.objective_id)))

    def standings(self, learner_id: str) -> Sequence[Standing]:
        """What was earned towards each objective that was met."""
        query = select(ObjectiveStandingRow).where(ObjectiveStandingRow.learner_id == learner_id)
        rows = self._session.scalars(query.order_by(ObjectiveStandingRow.objective_id))
        return tuple(Standing(**{name: getattr(row, name) for name in Standing.__slots__}) for row in rows)

    def lost_last(self, learner_id: str) -> Sequence[str]:
        """The objectives whose last occasion was rated again."""
        row = ScheduleReviewRow
        last = (
            select(row.objective_id, func.max(row.reviewed_at).label("at"))
            .where(row.learner_id == learner_id)
            .group_by(row.objective_id)
            .subquery()
        )
        same = and_(last.c.objective_id == row.objective_id, last.c.at == row.reviewed_at)
        query = select(row.objective_id).join(last, same).where(row.learner_id == learner_id)
        return tuple(self._session.scalars(query.where(row.rating == Rating.AGAIN.value).distinct()))

    def open_pages(self, learner_id: str, *, since: datetime, limit: int) -> Sequence[OpenPage]:
        """Tasks that were begun since then and not handed in, newest first."""
        query = (
            select(PageRow.id.label("page_id"), TaskRow.kind, TaskRow.level, TaskRow.archetype, PageRow.created_at)
            .join(TaskRow, TaskRow.content_hash == PageRow.content_hash)
            .where(PageRow.learner_id == learner_id, PageRow.created_at >= since)
            .where(~exists().where(AttemptRow.page_id == PageRow.id))
            .order_by(PageRow.created_at.desc(), PageRow.id)
            .limit(limit)
        )
        return tuple(OpenPage(**row) for row in self._session.execute(query).mappings())

    def done(self, learner_id: str, *, offset: int, limit: int) -> Sequence[Done]:
        """The record, newest first."""
        names = ("page_id", "number", "marks", "marks_available", "safe_to_energise", "edition", "submitted_at")
        query = (
            select(
                AttemptRow.id.label("attempt_id"),
                TaskRow.kind,
                TaskRow.level,
                TaskRow.archetype,
                *(getattr(AttemptRow, name) for name in names),
            )
            .join(PageRow, PageRow.id == AttemptRow.page_id)
            .join(TaskRow, TaskRow.content_hash == PageRow.content_hash)
            .where(AttemptRow.learner_id == learner_id)
            .order_by(AttemptRow.submitted_at.desc(), AttemptRow.id)
            .offset(offset)
            .limit(limit)
        )
        return tuple(Done(**row) for row in self._session.execute(query).mappings())

    def count_done(self, learner_id: str) -> int:
        """How many attempts the record has."""
        query = select(func.count()).select_from(AttemptRow).where(AttemptRow.learner_id == learner_id)
        return self._session.scalar(query) or 0


def _unreviewed(learner_id: str) -> Select[str, str, int, int, int, str, datetime]:
    """Sums over the outcomes of each attempt and objective that no review names yet."""
    counted = exists().where(
        ScheduleReviewRow.learner_id == learner_id,
        ScheduleReviewRow.objective_id == OutcomeRow.objective_id,
        ScheduleReviewRow.source_id == OutcomeRow.attempt_id,
    )
    return (
        select(
            OutcomeRow.attempt_id.label("source_id"),
            OutcomeRow.objective_id,
            func.count().label("decisions"),
            func.sum(OutcomeRow.marks).label("marks"),
            func.sum(OutcomeRow.marks_available).label("marks_available"),
            AttemptRow.certainty_json,
            AttemptRow.submitted_at.label("at"),
        )
        .join(AttemptRow, AttemptRow.id == OutcomeRow.attempt_id)
        .where(OutcomeRow.learner_id == learner_id, ~counted)
        .group_by(OutcomeRow.attempt_id, OutcomeRow.objective_id, AttemptRow.certainty_json, AttemptRow.submitted_at)
        .order_by(AttemptRow.submitted_at, OutcomeRow.attempt_id, OutcomeRow.objective_id)
    )


def _card(row: ScheduleCardRow) -> CardState:
    return CardState(**{name: getattr(row, name) for name in CardState.__slots__})


@dataclass(frozen=True, slots=True, kw_only=True)
class SqlPlanRepositories:
    """Everything that the plan needs, seen through one session."""

    plans: SqlPlans
    sittings: SqlPaperSittings
    moderations: SqlModerations


def plan_repositories(session: Session) -> SqlPlanRepositories:
    """The repositories over a session."""
    return SqlPlanRepositories(
        plans=SqlPlans(session), sittings=SqlPaperSittings(session), moderations=SqlModerations(session)
    )
