"""What is stored about somebody, as rows that JSON holds."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Result, inspect, or_, select
from sqlalchemy.orm import Session

from trainer.persistence.models import AttemptRow, Base, LearnerRow, OutcomeRow, PageRow, TaskRow
from trainer.persistence.people.accounts import SqlPeople
from trainer.persistence.people.members import SqlMembers
from trainer.persistence.people.rows import organisation_from, table_of
from trainer.persistence.privacy.written import named, written
from trainer.persistence.tables.accounts import PersonRow, RecoveryCodeRow, SecondFactorRow, SignedInRow
from trainer.persistence.tables.moderation import AppealRow, ModerationRow
from trainer.persistence.tables.operation import AuditRow, JobRow
from trainer.persistence.tables.organisations import (
    GroupMemberRow,
    MemberRoleRow,
    MemberRow,
    OrganisationRow,
    SiteRow,
    StudyGroupRow,
    TradeRoleRow,
)
from trainer.persistence.tables.papers import AccessArrangementRow, PaperRow
from trainer.persistence.tables.plan import ObjectiveStandingRow, ScheduleCardRow, ScheduleReviewRow
from trainer.persistence.tables.programmes import AssignmentRow, ProgrammeRow, RecordRow, ReminderRow
from trainer.persistence.tables.sittings import (
    DecisionOutcomeRow,
    SavedAnswerRow,
    SittingBreakRow,
    SittingItemRow,
    SittingRow,
)
from trainer.persistence.works import works_of_learner
from trainer.services.people.records import Person
from trainer.services.privacy.storage import Membership, Row, Written

# Never handed out: what signs in, what a paper is drawn from, and results, which are told beside it.
SECRET = frozenset({
    "password_hash", "token_hash", "code_hash", "salt", "last_step", "seed", "variant", "sender", "grade_json",
    "marks", "marks_available", "safe_to_energise", "grading_number", "candidate_number",
})  # fmt: skip
_RESULT = frozenset({"marks", "marks_available", "safe_to_energise"})
_AT_ONCE = 500


class SqlCopies:
    """What is stored about somebody."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def person(self, person_id: str) -> Person | None:
        """The account."""
        return SqlPeople(self._session).get(person_id)

    def memberships(self, person_id: str) -> Sequence[Membership]:
        """All memberships of the account, those that ended too."""
        query = select(MemberRow.organisation_id, MemberRow.id).where(MemberRow.person_id == person_id)
        found = [self.membership(*row) for row in self._session.execute(query.order_by(MemberRow.created_at))]
        return tuple(each for each in found if each is not None)

    def membership(self, organisation_id: str, member_id: str) -> Membership | None:
        """One membership."""
        member = SqlMembers(self._session).get(organisation_id, member_id)
        organisation = self._session.get(OrganisationRow, organisation_id)
        if member is None or organisation is None:
            return None
        return Membership(member=member, organisation=organisation_from(organisation))

    def account(self, person_id: str) -> Mapping[str, Sequence[Row]]:
        """Account, sessions, second factor by name of the table."""
        return {
            "account": self._rows(PersonRow, PersonRow.id == person_id),
            "sessions": self._rows(SignedInRow, SignedInRow.person_id == person_id),
            "second_factor": self._rows(SecondFactorRow, SecondFactorRow.person_id == person_id),
            "codes_on_paper": self._rows(RecoveryCodeRow, RecoveryCodeRow.person_id == person_id),
        }

    def in_organisation(self, member_id: str) -> Mapping[str, Sequence[Row]]:
        """What an organisation holds about a member, sittings left out, by name of the table."""
        assigned = select(AssignmentRow.id).where(AssignmentRow.member_id == member_id)
        sat = select(SittingRow.id).where(SittingRow.member_id == member_id)
        return {
            "member": self._member(member_id),
            "roles": self._rows(MemberRoleRow, MemberRoleRow.member_id == member_id),
            "groups": self._groups(member_id),
            "arrangements": self._rows(AccessArrangementRow, AccessArrangementRow.member_id == member_id),
            "assignments": self._assignments(member_id),
            "reminders": self._rows(ReminderRow, ReminderRow.assignment_id.in_(assigned)),
            "records": self._rows(RecordRow, RecordRow.member_id == member_id, leave=SECRET - _RESULT),
            "appeals": self._rows(AppealRow, AppealRow.sitting_id.in_(sat), leave=SECRET | {"answered_by"}),
        }

    def sittings(self, organisation_id: str, member_id: str) -> Sequence[str]:
        """Ids of all sittings of a member, refreshers too, first to last."""
        query = select(SittingRow.id).where(
            SittingRow.organisation_id == organisation_id, SittingRow.member_id == member_id
        )
        return tuple(self._session.scalars(query.order_by(SittingRow.started_at, SittingRow.id)))

    def sitting(self, sitting_id: str, *, with_marks: bool) -> Mapping[str, Sequence[Row]]:
        """A sitting with answers; marks only where they may be seen."""
        mine = SittingRow.id == sitting_id
        query = select(PaperRow.title).join(SittingRow, SittingRow.paper_id == PaperRow.id).where(mine)
        copy: dict[str, Sequence[Row]] = {
            "paper": [{"title": title} for title in self._session.scalars(query)],
            "sitting": self._rows(SittingRow, mine, leave=SECRET - _RESULT if with_marks else SECRET),
            "breaks": self._rows(SittingBreakRow, SittingBreakRow.sitting_id == sitting_id),
            "items": self._rows(SittingItemRow, SittingItemRow.sitting_id == sitting_id),
            "answers": self._rows(SavedAnswerRow, SavedAnswerRow.sitting_id == sitting_id),
        }
        if with_marks:
            outcomes = DecisionOutcomeRow.sitting_id == sitting_id
            copy["decisions"] = self._rows(DecisionOutcomeRow, outcomes, leave=SECRET - _RESULT)
            changed = (ModerationRow.sitting_id == sitting_id) & ModerationRow.withdrawn_at.is_(None)
            copy["changed_marks"] = self._rows(ModerationRow, changed, leave=SECRET | {"made_by", "confirmed_by"})
        return copy

    def practice(self, learner_id: str) -> Mapping[str, Written]:
        """What was practised, and the plan."""
        shown = SECRET - _RESULT
        return {
            "learner": self._written(LearnerRow, "id", learner_id),
            "tasks": self._tasks(learner_id),
            "attempts": self._written(AttemptRow, "learner_id", learner_id, leave=shown),
            "decisions": self._written(OutcomeRow, "learner_id", learner_id, leave=shown),
            "not_handed_in": self._works(learner_id),
            "plan": self._written(ScheduleCardRow, "learner_id", learner_id),
            "reviews": self._written(ScheduleReviewRow, "learner_id", learner_id),
            "standing": self._written(ObjectiveStandingRow, "learner_id", learner_id, leave=shown),
        }

    def log(self, ids: Sequence[str]) -> Sequence[Row]:
        """Entries of the audit chain that name one of the ids as actor or subject."""
        named = or_(AuditRow.actor_id.in_(ids), AuditRow.subject_id.in_(ids))
        return self._rows(AuditRow, named, leave=frozenset({"previous_hash", "entry_hash"}))

    def _tasks(self, learner_id: str) -> Written:
        page, task = table_of(PageRow).c, table_of(TaskRow).c
        columns = {"id": page.id, "created_at": page.created_at}
        columns |= {each.name: each for each in (task.kind, task.level, task.archetype)}
        theirs = (task.content_hash == page.content_hash) & (page.learner_id == learner_id)
        return written(self._session.connection(), columns, theirs, (page.created_at, page.id))

    def _works(self, learner_id: str) -> Written:
        job = table_of(JobRow).c
        columns = {"id": job.id, "work": job.payload_json}
        return written(self._session.connection(), columns, works_of_learner(learner_id), (job.created_at, job.id))

    def _written(self, table: type[Base], key: str, value: str, *, leave: frozenset[str] = SECRET) -> Written:
        found = table_of(table)
        theirs = found.c[key] == value
        return written(self._session.connection(), named(found, leave), theirs, found.primary_key.columns)

    def _member(self, member_id: str) -> Sequence[Row]:
        rows = self._rows(MemberRow, MemberRow.id == member_id)
        site = select(SiteRow.name).join(MemberRow, MemberRow.site_id == SiteRow.id).where(MemberRow.id == member_id)
        trade = select(TradeRoleRow.name).join(MemberRow, MemberRow.trade_role_id == TradeRoleRow.id)
        named = {
            "site": self._session.scalar(site),
            "works_as": self._session.scalar(trade.where(MemberRow.id == member_id)),
        }
        return [{**row, **named} for row in rows]

    def _groups(self, member_id: str) -> Sequence[Row]:
        query = select(StudyGroupRow.name, GroupMemberRow.part, GroupMemberRow.joined_at)
        query = query.join(GroupMemberRow, GroupMemberRow.group_id == StudyGroupRow.id)
        found = self._session.execute(query.where(GroupMemberRow.member_id == member_id).order_by(StudyGroupRow.name))
        return _rows_of(found)

    def _assignments(self, member_id: str) -> Sequence[Row]:
        rows = self._rows(AssignmentRow, AssignmentRow.member_id == member_id)
        ids = {str(row["programme_id"]) for row in rows}
        query = select(ProgrammeRow.id, ProgrammeRow.title).where(ProgrammeRow.id.in_(ids))
        titles = {row[0]: row[1] for row in self._session.execute(query)}
        return [{**row, "programme": titles.get(str(row["programme_id"]))} for row in rows]

    def _rows(
        self, table: type[Base], condition: ColumnElement[bool], *, leave: frozenset[str] = SECRET
    ) -> Sequence[Row]:
        columns = [column for column in table.__table__.columns if column.name not in leave]
        order = list(inspect(table).primary_key)
        found = self._session.execute(select(*columns).where(condition).order_by(*order))
        return _rows_of(found)


def _rows_of(result: Result[*tuple[Any, ...]]) -> Sequence[Row]:
    """Rows whose values JSON holds; what was stored as JSON is opened."""
    columns = tuple(result.keys())
    names = [name.removesuffix("_json") for name in columns]
    # Once for all rows: somebody may have practised for years.
    plain = [_opened if name.endswith("_json") else _plain for name in columns]
    return [{name: said(value) for name, said, value in zip(names, plain, row, strict=True)} for row in result]


def _plain(value: object) -> object:
    return value.isoformat() if isinstance(value, datetime) else value


def _opened(value: object) -> object:
    if isinstance(value, str | bytes):
        return json.loads(value) if value else None
    return _plain(value)
