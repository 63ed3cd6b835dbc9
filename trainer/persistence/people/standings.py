"""Who a token belongs to, with the person, the organisation and the roles: what every request asks first."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain

from sqlalchemy import bindparam, select

from trainer.persistence.database import Database
from trainer.persistence.people.rows import columns_of, member_of, organisation_of, table_of
from trainer.persistence.prepared import Prepared, Row
from trainer.persistence.tables.accounts import PersonRow, SecondFactorRow, SignedInRow
from trainer.persistence.tables.organisations import MemberRoleRow, MemberRow, OrganisationRow
from trainer.services.people.records import Member, Organisation, Person, Session, Standing
from trainer.services.people.words import Role


class SqlStandings:
    """Answers ``trainer.services.people.storage.Standings``."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def standing(self, token_hash: str) -> Standing | None:
        """The session with this token, its person, and the organisation worked in, unless it was revoked."""
        with self._database.asking() as asked:
            rows = asked.rows(_STANDING, {"token_hash": token_hash})
        return _standing(rows) if rows else None


# The statement is made once and gives plain values.
_PARTS = (
    columns_of(SignedInRow, Session),
    columns_of(PersonRow, Person),
    columns_of(MemberRow, Member, leave={"roles"}),
    columns_of(OrganisationRow, Organisation),
)
_NAMES = tuple(tuple(column.key for column in part) for part in _PARTS)
_SIGNED_IN, _PERSON, _FACTOR = table_of(SignedInRow), table_of(PersonRow), table_of(SecondFactorRow)
_MEMBER, _ORGANISATION, _ROLE = table_of(MemberRow), table_of(OrganisationRow), table_of(MemberRoleRow)
_STANDING = Prepared(
    select(_FACTOR.c.confirmed_at, _ROLE.c.role, *chain(*_PARTS))
    .select_from(_SIGNED_IN)
    .join(_PERSON, _PERSON.c.id == _SIGNED_IN.c.person_id)
    .outerjoin(_FACTOR, _FACTOR.c.person_id == _SIGNED_IN.c.person_id)
    .outerjoin(_MEMBER, (_MEMBER.c.id == _SIGNED_IN.c.member_id) & (_MEMBER.c.person_id == _PERSON.c.id))
    .outerjoin(_ORGANISATION, _ORGANISATION.c.id == _MEMBER.c.organisation_id)
    .outerjoin(_ROLE, _ROLE.c.member_id == _MEMBER.c.id)
    .where(_SIGNED_IN.c.token_hash == bindparam("token_hash"), _SIGNED_IN.c.revoked_at.is_(None))
)


def _standing(rows: Sequence[Row]) -> Standing:
    """The one session that the rows tell of: one row for each role of its member."""
    confirmed_at, _, *values = rows[0]
    left = iter(values)
    session, person, member, organisation = (dict(zip(names, left, strict=False)) for names in _NAMES)
    roles = frozenset(Role(row[1]) for row in rows if row[1] is not None)
    return Standing(
        session=Session(**session),
        person=Person(**person),
        has_second_factor=confirmed_at is not None,
        member=None if member["id"] is None else member_of(member, roles),
        organisation=None if organisation["id"] is None else organisation_of(organisation),
    )
