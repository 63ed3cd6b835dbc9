"""Sittings as a plan sees them, in the database."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping, Sequence

from sqlalchemy import exists, or_, select
from sqlalchemy.orm import Session

from trainer.persistence.models import TaskRow
from trainer.persistence.papers.papers import paper_from
from trainer.persistence.tables.accounts import PersonRow
from trainer.persistence.tables.moderation import ModerationRow
from trainer.persistence.tables.organisations import MemberRow, OrganisationRow
from trainer.persistence.tables.papers import PaperRow
from trainer.persistence.tables.sittings import DecisionOutcomeRow, SittingItemRow, SittingObjectiveRow, SittingRow
from trainer.services.papers.words import SittingState
from trainer.services.plan.storage import Occasion, Sat, SatDecision


class SqlSat:
    """The sittings of a learner's account."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def sat(self, learner_id: str) -> Sequence[Sat]:
        """Sittings of the learner's account that were marked, oldest first, whether or not they are told yet."""
        touched = or_(ModerationRow.sitting_id.is_(None), ModerationRow.sitting_id == SittingRow.id)
        moderated = exists().where(ModerationRow.paper_id == SittingRow.paper_id, touched)
        query = (
            select(SittingRow, PaperRow, OrganisationRow.release_needs_second_person, moderated)
            .join(MemberRow, MemberRow.id == SittingRow.member_id)
            .join(PersonRow, PersonRow.id == MemberRow.person_id)
            .join(OrganisationRow, OrganisationRow.id == SittingRow.organisation_id)
            .outerjoin(PaperRow, PaperRow.id == SittingRow.paper_id)
            .where(PersonRow.learner_id == learner_id, SittingRow.state == SittingState.HANDED_IN.value)
            .where(SittingRow.grading_number.is_not(None))
            .order_by(SittingRow.handed_in_at, SittingRow.id)
        )
        rows = self._session.execute(query.execution_options(populate_existing=True))
        return tuple(_sat(*row) for row in rows)

    def sat_occasions(self, sitting_ids: Collection[str]) -> Sequence[Occasion]:
        """What sittings earned towards each objective in the markings that count, without changes by hand."""
        row = SittingObjectiveRow
        query = (
            select(
                row.sitting_id.label("source_id"),
                row.objective_id,
                row.decisions,
                row.marks,
                row.marks_available,
                SittingRow.handed_in_at.label("at"),
            )
            .join(SittingRow, SittingRow.id == row.sitting_id)
            .where(row.sitting_id.in_(sorted(sitting_ids)), row.marks_available > 0)
            .order_by(SittingRow.handed_in_at, row.sitting_id, row.objective_id)
        )
        said = self._said(sitting_ids)
        return tuple(
            Occasion(**each, certainty_json=json.dumps(said.get((each["source_id"], each["objective_id"]), {})))
            for each in self._session.execute(query).mappings()
        )

    def _said(self, sitting_ids: Collection[str]) -> Mapping[tuple[str, str], dict[str, int]]:
        """How sure somebody was of each decision, by sitting and by the objective that the decision is for."""
        row = DecisionOutcomeRow
        query = select(row.sitting_id, row.objective_id, row.position, row.decision_id, row.certainty)
        query = query.where(row.sitting_id.in_(sorted(sitting_ids)), row.certainty.is_not(None))
        found: dict[tuple[str, str], dict[str, int]] = {}
        for sitting, objective, position, decision, certainty in self._session.execute(query):
            if certainty is not None:
                found.setdefault((sitting, objective), {})[f"{position}.{decision}"] = certainty
        return found

    def sat_decisions(self, sitting_id: str) -> Sequence[SatDecision]:
        """Every decision of a sitting."""
        row = DecisionOutcomeRow
        query = select(row.position, row.decision_id, row.marks, row.marks_available)
        rows = self._session.execute(query.where(row.sitting_id == sitting_id)).mappings()
        return tuple(SatDecision(**each) for each in rows)

    def sat_tasks(self, sitting_id: str) -> Mapping[int, bytes]:
        """The tasks of a sitting as they are stored, by position."""
        query = select(SittingItemRow.position, TaskRow.content).join(
            TaskRow, TaskRow.content_hash == SittingItemRow.content_hash
        )
        rows = self._session.execute(query.where(SittingItemRow.sitting_id == sitting_id))
        return {each[0]: each[1] for each in rows}


def _sat(sitting: SittingRow, paper: PaperRow | None, needs_second: bool, moderated: bool) -> Sat:
    assert sitting.handed_in_at is not None, "the table says so"  # noqa: S101 - tells mypy
    return Sat(
        sitting_id=sitting.id,
        organisation_id=sitting.organisation_id,
        at=sitting.handed_in_at,
        paper=None if paper is None else paper_from(paper),
        needs_second_person=needs_second,
        is_moderated=bool(moderated),
        is_judged_again=(sitting.grading_number or 0) > 1,
    )
