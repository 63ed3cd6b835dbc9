"""People in organisations, in the database."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence

from sqlalchemy import Select, bindparam, delete, func, insert, select, tuple_, update
from sqlalchemy.orm import Session

from trainer.persistence.people.organisations import attempt
from trainer.persistence.people.rows import member_fields, member_from, sorted_as, table_of
from trainer.persistence.statements import insert_unless_there
from trainer.persistence.tables.organisations import GroupMemberRow, MemberRoleRow, MemberRow, OrganisationRow
from trainer.services.people.records import Member, Membership
from trainer.services.people.words import MemberState, Role

# Below the number of values that SQLite takes in one statement.
_AT_ONCE = 500
_FEW = 5


class SqlMembers:
    """People in organisations."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, member: Member) -> bool:
        """Stores a new member with the roles; False when person, address or reference is there already."""
        if not insert_unless_there(self._session, MemberRow, member_fields(member)):
            return False
        self._add_roles([member])
        return True

    def add_many(self, members: Sequence[Member]) -> None:
        """Stores many new members with their roles."""
        for start in range(0, len(members), _AT_ONCE):
            part = members[start : start + _AT_ONCE]
            self._session.execute(insert(MemberRow), [member_fields(member) for member in part])
            self._add_roles(part)

    def get(self, organisation_id: str, member_id: str) -> Member | None:
        """The member with this id in this organisation."""
        found = self.find(member_id)
        return found if found is not None and found.organisation_id == organisation_id else None

    def find(self, member_id: str) -> Member | None:
        """The member of whatever organisation: for invitations only, which name nothing else."""
        row = self._session.get(MemberRow, member_id, populate_existing=True)
        return None if row is None else self._with_roles([row])[0]

    def display_names(self, organisation_id: str, member_ids: Collection[str]) -> Mapping[str, str]:
        """What those of this organisation are called, by id."""
        row, listed = MemberRow, sorted(member_ids)
        names: dict[str, str] = {}
        for start in range(0, len(listed), _AT_ONCE):
            query = select(row.id, row.display_name).where(row.organisation_id == organisation_id)
            part = self._session.execute(query.where(row.id.in_(listed[start : start + _AT_ONCE])))
            names.update((each[0], each[1]) for each in part)
        return names

    def change(self, member: Member) -> bool:
        """Stores the member as it is now with the roles; False when address or reference is another's."""
        theirs = (MemberRow.id == member.id) & (MemberRow.organisation_id == member.organisation_id)
        if not attempt(self._session, update(MemberRow).where(theirs).values(**member_fields(member))):
            return False
        kept = {role.value for role in member.roles}
        had = set(self._session.scalars(select(MemberRoleRow.role).where(MemberRoleRow.member_id == member.id)))
        gone = (MemberRoleRow.member_id == member.id) & MemberRoleRow.role.in_(had - kept)
        self._session.execute(delete(MemberRoleRow).where(gone))
        self._insert_roles((member, role) for role in sorted(kept - had))
        return True

    def page(
        self,
        organisation_id: str,
        *,
        search: str = "",
        state: MemberState | None = None,
        group_id: str | None = None,
        after: tuple[str, str] | None = None,
        limit: int = 50,
    ) -> Sequence[Member]:
        """Members by sorted name, from after a (sorted name, id)."""
        query = _of(organisation_id, state).order_by(MemberRow.sort_name, MemberRow.id).limit(limit)
        if search:
            query = query.where(MemberRow.sort_name.contains(sorted_as(search), autoescape=True))
        if group_id is not None:
            query = query.join(GroupMemberRow, GroupMemberRow.member_id == MemberRow.id)
            query = query.where(GroupMemberRow.group_id == group_id)
        if after is not None:
            query = query.where(tuple_(MemberRow.sort_name, MemberRow.id) > after)
        return self._with_roles(self._session.scalars(query).all())

    def named(self, organisation_id: str, text: str) -> Sequence[Member]:
        """Members whose reference, address or whole name this is; those who left are left out."""
        said = (
            (MemberRow.reference == text) | (MemberRow.email == text.lower()) | (MemberRow.sort_name == sorted_as(text))
        )
        query = _of(organisation_id, None).where(said, MemberRow.state != MemberState.ENDED.value).limit(_FEW)
        return self._with_roles(self._session.scalars(query).all())

    def count(self, organisation_id: str, state: MemberState | None = None) -> int:
        """How many members there are."""
        query = _of(organisation_id, state).with_only_columns(func.count())
        return self._session.execute(query).scalar_one()

    def with_role(self, organisation_id: str, role: Role) -> Sequence[Member]:
        """Active members that have the role."""
        query = _of(organisation_id, MemberState.ACTIVE).join(MemberRoleRow, MemberRoleRow.member_id == MemberRow.id)
        query = query.where(MemberRoleRow.role == role.value).order_by(MemberRow.sort_name, MemberRow.id)
        return self._with_roles(self._session.scalars(query).all())

    def of_person(self, person_id: str) -> Sequence[Membership]:
        """Where a person is an active member, by name of the organisation, suspended ones left out."""
        found: dict[str, tuple[str, str, set[Role]]] = {}
        for member_id, organisation_id, name, role in self._session.execute(_OF_PERSON, {"whose": person_id}):
            roles = found.setdefault(member_id, (organisation_id, name, set()))[2]
            roles |= {Role(role)} if role is not None else set()
        return tuple(
            Membership(member_id=member_id, organisation_id=where, organisation_name=name, roles=frozenset(roles))
            for member_id, (where, name, roles) in found.items()
        )

    def all_in(self, organisation_id: str) -> Sequence[Member]:
        """All members, for comparing with a roster."""
        return self._with_roles(self._session.scalars(_of(organisation_id, None)).all())

    def _with_roles(self, rows: Sequence[MemberRow]) -> tuple[Member, ...]:
        roles: dict[str, set[Role]] = defaultdict(set)
        ids = [row.id for row in rows]
        for start in range(0, len(ids), _AT_ONCE):
            part = MemberRoleRow.member_id.in_(ids[start : start + _AT_ONCE])
            for member_id, role in self._session.execute(
                select(MemberRoleRow.member_id, MemberRoleRow.role).where(part)
            ):
                roles[member_id].add(Role(role))
        return tuple(member_from(row, frozenset(roles[row.id])) for row in rows)

    def _add_roles(self, members: Sequence[Member]) -> None:
        self._insert_roles((member, role.value) for member in members for role in sorted(member.roles))

    def _insert_roles(self, roles: Iterable[tuple[Member, str]]) -> None:
        rows = [{"member_id": member.id, "role": role, "granted_at": member.created_at} for member, role in roles]
        if rows:
            self._session.execute(insert(MemberRoleRow), rows)


# A class signs in at one moment and asks this, so it is made once and gives plain values: one row for each role.
_MEMBER, _ORGANISATION, _ROLE = table_of(MemberRow), table_of(OrganisationRow), table_of(MemberRoleRow)
_OF_PERSON = (
    select(_MEMBER.c.id, _MEMBER.c.organisation_id, _ORGANISATION.c.name, _ROLE.c.role)
    .join(_ORGANISATION, _ORGANISATION.c.id == _MEMBER.c.organisation_id)
    .outerjoin(_ROLE, _ROLE.c.member_id == _MEMBER.c.id)
    .where(_MEMBER.c.person_id == bindparam("whose"), _MEMBER.c.state == MemberState.ACTIVE.value)
    .where(_ORGANISATION.c.suspended_at.is_(None))
    .order_by(_ORGANISATION.c.name, _MEMBER.c.id)
)


def _of(organisation_id: str, state: MemberState | None) -> Select[MemberRow]:
    query = select(MemberRow).where(MemberRow.organisation_id == organisation_id)
    return query if state is None else query.where(MemberRow.state == state.value)
