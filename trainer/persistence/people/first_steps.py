"""Which first steps are done, in the database: one statement that finds one row of each at most."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import exists, select
from sqlalchemy.orm import Session

from trainer.persistence.tables.organisations import GroupMemberRow, MemberRoleRow, MemberRow, StudyGroupRow
from trainer.persistence.tables.papers import PaperGroupRow, PaperRow
from trainer.persistence.tables.programmes import ProgrammeRow
from trainer.services.people.here import STAFF
from trainer.services.people.words import FirstStep, GroupPart, MemberState, Role


class SqlFirstSteps:
    """Which first steps are done."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def done(self, organisation_id: str, member_id: str, steps: Sequence[FirstStep]) -> frozenset[FirstStep]:
        """Those of some steps that are done, for a member of an organisation."""
        if not steps:
            return frozenset()
        columns = [_done(each, organisation_id, member_id).label(each.value) for each in steps]
        row = self._session.execute(select(*columns)).one()
        return frozenset(step for step, is_done in zip(steps, row, strict=True) if is_done)


def _done(step: FirstStep, organisation_id: str, member_id: str) -> Any:
    taught = _taught(member_id)
    match step:
        case FirstStep.GROUP:
            group = StudyGroupRow.organisation_id == organisation_id, StudyGroupRow.id.in_(taught)
            return exists().where(*group, StudyGroupRow.archived_at.is_(None))
        case FirstStep.LEARNERS:
            return exists().where(GroupMemberRow.group_id.in_(taught), GroupMemberRow.part == GroupPart.LEARNS.value)
        case FirstStep.PAPER:
            for_them = select(PaperGroupRow.paper_id).where(PaperGroupRow.group_id.in_(taught))
            mine = (PaperRow.made_by == member_id) | PaperRow.id.in_(for_them)
            return exists().where(PaperRow.organisation_id == organisation_id, mine)
        case FirstStep.PROGRAMME:
            return exists().where(ProgrammeRow.organisation_id == organisation_id)
        case FirstStep.STAFF:
            return _somebody(organisation_id, [each.value for each in STAFF], MemberRow.id != member_id)
        case _:
            return _somebody(organisation_id, [Role.LEARNER.value], MemberRow.id != member_id)


def _taught(member_id: str) -> Any:
    query = select(GroupMemberRow.group_id).where(GroupMemberRow.member_id == member_id)
    return query.where(GroupMemberRow.part == GroupPart.TEACHES.value)


def _somebody(organisation_id: str, roles: Sequence[str], other: Any) -> Any:
    there = MemberRow.organisation_id == organisation_id, MemberRow.state != MemberState.ENDED.value, other
    return exists().where(MemberRoleRow.member_id == MemberRow.id, MemberRoleRow.role.in_(roles), *there)
