"""Groups of learners and their codes, in the database."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import case, delete, func, literal, select, update
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import Session

from trainer.persistence.people.organisations import attempt
from trainer.persistence.people.rows import fields_of, values_of
from trainer.persistence.statements import insert_unless_there
from trainer.persistence.tables.organisations import GroupMemberRow, JoinCodeRow, StudyGroupRow
from trainer.services.people.records import Group, GroupPlace, GroupSize, JoinCode
from trainer.services.people.words import GroupPart

_AT_ONCE = 500


class SqlGroups:
    """Groups of learners and their codes."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, group: Group) -> bool:
        """Stores a group; False when the name is taken."""
        return insert_unless_there(self._session, StudyGroupRow, fields_of(group))

    def get(self, organisation_id: str, group_id: str) -> Group | None:
        """The group with this id in this organisation."""
        query = select(StudyGroupRow).where(
            StudyGroupRow.organisation_id == organisation_id, StudyGroupRow.id == group_id
        )
        row = self._session.scalars(query.execution_options(populate_existing=True)).first()
        return None if row is None else Group(**values_of(row, Group))

    def change(self, group: Group) -> bool:
        """Stores the group as it is now; False when the name is taken."""
        theirs = (StudyGroupRow.id == group.id) & (StudyGroupRow.organisation_id == group.organisation_id)
        return attempt(self._session, update(StudyGroupRow).where(theirs).values(**fields_of(group)))

    def all(self, organisation_id: str, *, taught_by: str | None = None) -> Sequence[GroupSize]:
        """Groups by name with their numbers, archived last; or only those that a member teaches."""
        query = (
            select(StudyGroupRow, _number_of(GroupPart.LEARNS), _number_of(GroupPart.TEACHES))
            .outerjoin(GroupMemberRow, GroupMemberRow.group_id == StudyGroupRow.id)
            .where(StudyGroupRow.organisation_id == organisation_id)
            .group_by(StudyGroupRow.id)
            .order_by(StudyGroupRow.archived_at.is_not(None), StudyGroupRow.name)
        )
        if taught_by is not None:
            query = query.where(StudyGroupRow.id.in_(_taught_by(taught_by)))
        return tuple(
            GroupSize(group=Group(**values_of(row, Group)), learners=learners, teachers=teachers)
            for row, learners, teachers in self._session.execute(query)
        )

    def of_member(self, organisation_id: str, member_id: str) -> Sequence[tuple[Group, GroupPart]]:
        """The groups of a member."""
        query = (
            select(StudyGroupRow, GroupMemberRow.part)
            .join(GroupMemberRow, GroupMemberRow.group_id == StudyGroupRow.id)
            .where(GroupMemberRow.organisation_id == organisation_id, GroupMemberRow.member_id == member_id)
            .order_by(StudyGroupRow.name)
        )
        return tuple((Group(**values_of(row, Group)), GroupPart(part)) for row, part in self._session.execute(query))

    def put(self, places: Collection[GroupPlace]) -> None:
        """Puts members into groups; who is there already gets the new part."""
        rows = [fields_of(place) for place in places]
        for start in range(0, len(rows), _AT_ONCE):
            self._upsert(rows[start : start + _AT_ONCE])

    def take_out(self, organisation_id: str, group_id: str, member_id: str) -> bool:
        """Takes a member out of a group; False where there was none."""
        place = (
            (GroupMemberRow.organisation_id == organisation_id)
            & (GroupMemberRow.group_id == group_id)
            & (GroupMemberRow.member_id == member_id)
        )
        return self._session.execute(delete(GroupMemberRow).where(place).returning(literal(1))).first() is not None

    def parts(self, organisation_id: str, group_id: str) -> Mapping[str, GroupPart]:
        """The part of each member in a group."""
        query = select(GroupMemberRow.member_id, GroupMemberRow.part).where(
            GroupMemberRow.organisation_id == organisation_id, GroupMemberRow.group_id == group_id
        )
        return {member_id: GroupPart(part) for member_id, part in self._session.execute(query)}

    def all_places(self, organisation_id: str) -> Sequence[tuple[str, str]]:
        """Every (group id, member id): for comparing with a roster."""
        query = select(GroupMemberRow.group_id, GroupMemberRow.member_id)
        query = query.where(GroupMemberRow.organisation_id == organisation_id)
        return tuple((group_id, member_id) for group_id, member_id in self._session.execute(query))

    def add_code(self, code: JoinCode) -> None:
        """Stores a new code; earlier ones of the group end."""
        self.revoke_codes(code.organisation_id, code.group_id, code.created_at)
        self._session.add(JoinCodeRow(**fields_of(code)))
        self._session.flush()

    def code(self, code: str) -> JoinCode | None:
        """The code."""
        row = self._session.get(JoinCodeRow, code, populate_existing=True)
        return None if row is None else JoinCode(**values_of(row, JoinCode))

    def code_of(self, organisation_id: str, group_id: str, now: datetime) -> JoinCode | None:
        """The code of a group that is good now."""
        query = select(JoinCodeRow).where(
            JoinCodeRow.organisation_id == organisation_id, JoinCodeRow.group_id == group_id, _good(now)
        )
        row = self._session.scalars(query.order_by(JoinCodeRow.created_at.desc())).first()
        return None if row is None else JoinCode(**values_of(row, JoinCode))

    def use_code(self, code: str, now: datetime) -> bool:
        """Counts one use; False when the code is used up, revoked or too old."""
        statement = update(JoinCodeRow).where(JoinCodeRow.code == code, _good(now)).values(uses=JoinCodeRow.uses + 1)
        return self._session.execute(statement.returning(literal(1))).first() is not None

    def revoke_codes(self, organisation_id: str, group_id: str, at: datetime) -> None:
        """Ends the codes of a group."""
        theirs = (JoinCodeRow.organisation_id == organisation_id) & (JoinCodeRow.group_id == group_id)
        statement = update(JoinCodeRow).where(theirs, JoinCodeRow.revoked_at.is_(None)).values(revoked_at=at)
        self._session.execute(statement)

    def _upsert(self, rows: list[dict[str, Any]]) -> None:
        on_postgresql = self._session.get_bind().dialect.name == "postgresql"
        insert = postgresql.insert if on_postgresql else sqlite.insert
        statement = insert(GroupMemberRow).values(rows)
        key = [GroupMemberRow.group_id, GroupMemberRow.member_id]
        self._session.execute(
            statement.on_conflict_do_update(index_elements=key, set_={"part": statement.excluded.part})
        )


def _good(now: datetime) -> Any:
    return (
        JoinCodeRow.revoked_at.is_(None)
        & (JoinCodeRow.expires_at > now)
        & (JoinCodeRow.uses < JoinCodeRow.uses_allowed)
    )


def _number_of(part: GroupPart) -> Any:
    return func.coalesce(func.sum(case((GroupMemberRow.part == part.value, 1), else_=0)), 0)


def _taught_by(member_id: str) -> Any:
    query = select(GroupMemberRow.group_id).where(GroupMemberRow.member_id == member_id)
    return query.where(GroupMemberRow.part == GroupPart.TEACHES.value)
