"""Takes a person out of what is stored; rows that figures are made of stay, and name nobody."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, delete, func, literal, select, tuple_, update
from sqlalchemy.orm import Session

from trainer.persistence.models import AttemptRow, Base, LearnerRow, OutcomeRow, PageRow
from trainer.persistence.people.drafts import ROSTER
from trainer.persistence.people.rows import sorted_as, table_of
from trainer.persistence.tables.accounts import PersonRow, SignedInRow, SingleUseTokenRow
from trainer.persistence.tables.moderation import AppealRow, ModerationRow
from trainer.persistence.tables.operation import JobFileRow, JobRow
from trainer.persistence.tables.organisations import MemberRoleRow, MemberRow
from trainer.persistence.tables.papers import AccessArrangementRow
from trainer.persistence.tables.plan import ObjectiveStandingRow, ScheduleCardRow, ScheduleReviewRow
from trainer.persistence.tables.programmes import AssignmentRow, RecordRow, ReminderRow
from trainer.persistence.tables.sittings import SittingBreakRow, SittingRow
from trainer.persistence.works import works_of_learner
from trainer.services.jobs.own_results import results_job_id
from trainer.services.people.words import MemberState, Role
from trainer.services.privacy.words import ERASED
from trainer.services.programmes.words import AssignmentState, NameVisibility
from trainer.services.sittings.entries import KIND as ENTRY


class SqlEraser:
    """Takes a person out of what is stored."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self._rows: dict[str, int] = {}

    def practice(self, learner_id: str) -> Mapping[str, int]:
        """Lets what was practised belong to nobody; rows changed by table."""
        self._rows = {}
        # What was marked and not handed in no figure is made of.
        self._delete(JobRow, works_of_learner(learner_id))
        self._delete(JobRow, JobRow.id == results_job_id(learner_id))
        for table in (PageRow, AttemptRow, OutcomeRow):
            self._change(table, table.learner_id == learner_id, learner_id=None)
        for plan in (ScheduleCardRow, ScheduleReviewRow, ObjectiveStandingRow):
            self._delete(plan, plan.learner_id == learner_id)
        self._delete(LearnerRow, LearnerRow.id == learner_id)
        return self._rows

    def some_practice(self, learner_id: str, limit: int) -> Mapping[str, int]:
        """Does so with up to so many rows of the tables in which there may be very many; nothing where none is left."""
        self._rows = {}
        for table in (OutcomeRow, AttemptRow, PageRow, ScheduleReviewRow):
            left = limit - sum(self._rows.values())
            key = table_of(table).primary_key.columns
            some = tuple_(*key).in_(select(*key).where(table.learner_id == learner_id).limit(left))
            if table is ScheduleReviewRow:
                self._delete(table, some)
            else:
                self._change(table, some, learner_id=None)
        return {table: rows for table, rows in self._rows.items() if rows}

    def member(self, organisation_id: str, member_id: str, at: datetime, code: str) -> Mapping[str, int]:
        """Takes name, address, reference and notes of a member away; records get new codes made from ``code``."""
        self._rows = {}
        mine = (MemberRow.id == member_id) & (MemberRow.organisation_id == organisation_id)
        self._change(
            MemberRow,
            mine,
            person_id=None,
            display_name=ERASED,
            sort_name=sorted_as(ERASED),
            email=None,
            reference=None,
            site_id=None,
            trade_role_id=None,
            state=MemberState.ENDED.value,
            ended_at=func.coalesce(MemberRow.ended_at, literal(at, MemberRow.ended_at.type)),
        )
        self._change(SignedInRow, SignedInRow.member_id == member_id, member_id=None)
        self._delete(SingleUseTokenRow, SingleUseTokenRow.member_id == member_id)
        self._delete(MemberRoleRow, MemberRoleRow.member_id == member_id)
        # Needs tell of health, and of nothing that figures are made of.
        self._delete(AccessArrangementRow, AccessArrangementRow.member_id == member_id)
        self._sittings(member_id)
        self._programmes(member_id, code)
        self._files(organisation_id)
        named = JobRow.payload_json.contains(f'"member_id":"{member_id}"', autoescape=True)
        self._delete(JobRow, (JobRow.organisation_id == organisation_id) & (JobRow.kind == ENTRY) & named)
        return self._rows

    def account(self, person_id: str, at: datetime) -> Mapping[str, int]:
        """Takes an account away; memberships end and belong to no account."""
        self._rows = {}
        theirs = MemberRow.person_id == person_id
        ended = func.coalesce(MemberRow.ended_at, literal(at, MemberRow.ended_at.type))
        self._change(MemberRow, theirs, person_id=None, state=MemberState.ENDED.value, ended_at=ended)
        self._delete(JobRow, (JobRow.asked_by == person_id) & (JobRow.kind == ROSTER))
        self._change(JobRow, JobRow.asked_by == person_id, asked_by=None)
        # Sessions, links, second factor and codes on paper go with it.
        self._delete(PersonRow, PersonRow.id == person_id)
        return self._rows

    def is_last_administrator(self, organisation_id: str, member_id: str) -> bool:
        """True when nobody else could look after the organisation."""
        query = (
            select(MemberRow.id)
            .join(MemberRoleRow, MemberRoleRow.member_id == MemberRow.id)
            .where(MemberRow.organisation_id == organisation_id, MemberRow.state == MemberState.ACTIVE.value)
            .where(MemberRoleRow.role == Role.ADMINISTRATOR.value)
            .limit(2)
        )
        return self._session.scalars(query).all() == [member_id]

    def _sittings(self, member_id: str) -> None:
        mine = SittingRow.member_id == member_id
        sat = select(SittingRow.id).where(mine)
        # How long somebody may sit tells of needs; how long they sat stays for the figures.
        self._change(SittingRow, mine, extra_time_s=0, rest_breaks_s=0, larger_text=False)
        self._delete(SittingBreakRow, SittingBreakRow.sitting_id.in_(sat))
        self._change(AppealRow, AppealRow.sitting_id.in_(sat), note="", answer="")
        self._change(ModerationRow, ModerationRow.sitting_id.in_(sat), reason=ERASED)

    def _programmes(self, member_id: str, code: str) -> None:
        mine = AssignmentRow.member_id == member_id
        self._delete(ReminderRow, ReminderRow.assignment_id.in_(select(AssignmentRow.id).where(mine)))
        self._change(AssignmentRow, mine, state=AssignmentState.ENDED.value, excused_reason="")
        query = select(RecordRow.id).where(RecordRow.member_id == member_id)
        for record_id in self._session.scalars(query).all():
            self.record(record_id, code)

    def record(self, record_id: str, code: str) -> None:
        """Takes the holder's name out of a record, and lets its link lead nowhere."""
        # Any random text that nobody holds: the new code is never told.
        anew = hashlib.sha256(f"{code} {record_id}".encode()).hexdigest()[:43]
        hidden = NameVisibility.HIDDEN.value
        self._change(RecordRow, RecordRow.id == record_id, holder_name=ERASED, name_visibility=hidden, code=anew)

    def _files(self, organisation_id: str) -> None:
        """Files and rosters of the organisation name everybody; they are made anew with a click."""
        inside = select(JobRow.id).where(JobRow.organisation_id == organisation_id)
        self._delete(JobFileRow, JobFileRow.job_id.in_(inside))
        self._delete(JobRow, (JobRow.organisation_id == organisation_id) & (JobRow.kind == ROSTER))

    def _change(self, table: type[Base], condition: ColumnElement[bool], **values: Any) -> None:
        self._count(table, update(table).where(condition).values(**values))

    def _delete(self, table: type[Base], condition: ColumnElement[bool]) -> None:
        self._count(table, delete(table).where(condition))

    def _count(self, table: type[Base], statement: Any) -> None:
        statement = statement.returning(literal(1)).execution_options(synchronize_session=False)
        changed = len(self._session.execute(statement).all())
        self._rows[table.__tablename__] = self._rows.get(table.__tablename__, 0) + changed
