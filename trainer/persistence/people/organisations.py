"""Organisations and the wall between them, in the database."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Table, bindparam, func, literal, select, update
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from trainer.persistence.models import Base
from trainer.persistence.people.rows import fields_of, organisation_from, table_of, values_of
from trainer.persistence.statements import insert_unless_there
from trainer.persistence.tables.moderation import AppealRow
from trainer.persistence.tables.operation import JobRow
from trainer.persistence.tables.organisations import (
    MemberRow,
    OrganisationRow,
    SiteRow,
    StudyGroupRow,
    TradeRoleRow,
)
from trainer.persistence.tables.papers import AccessArrangementRow, PaperRow
from trainer.persistence.tables.programmes import AssignmentRow, ProgrammeRow, RecordRow
from trainer.persistence.tables.sittings import SittingRow
from trainer.services.people.records import Organisation, Place
from trainer.services.people.words import MemberState

# What an id in an address may name.
_WALLED: dict[str, type[Base]] = {
    "appeal": AppealRow,
    "arrangement": AccessArrangementRow,
    "assignment": AssignmentRow,
    "group": StudyGroupRow,
    "job": JobRow,
    "member": MemberRow,
    "paper": PaperRow,
    "programme": ProgrammeRow,
    "record": RecordRow,
    "site": SiteRow,
    "sitting": SittingRow,
    "trade_role": TradeRoleRow,
}


def _held(table: Table) -> Any:
    query = select(literal(1)).select_from(table)
    return query.where(table.c.organisation_id == bindparam("organisation"), table.c.id == bindparam("thing"))


# Most pages of members ask, so the statements are made once.
_HELD = {kind: _held(table_of(row)) for kind, row in _WALLED.items()}


class SqlWall:
    """What belongs to which organisation."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def holds(self, kind: str, organisation_id: str, thing_id: str) -> bool:
        """True when the thing of this kind belongs to the organisation."""
        names = {"organisation": organisation_id, "thing": thing_id}
        return self._session.execute(_HELD[kind], names).first() is not None


class SqlOrganisations:
    """Colleges and firms."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, organisation: Organisation) -> bool:
        """Stores a new one; False when the name is taken."""
        return insert_unless_there(self._session, OrganisationRow, fields_of(organisation))

    def get(self, organisation_id: str) -> Organisation | None:
        """The organisation with this id."""
        row = self._session.get(OrganisationRow, organisation_id, populate_existing=True)
        return None if row is None else organisation_from(row)

    def by_name(self, after: str, *, limit: int) -> Sequence[Organisation]:
        """Those whose names come after one, by name: for operators."""
        query = select(OrganisationRow).where(OrganisationRow.name > after)
        query = query.order_by(OrganisationRow.name).limit(limit)
        return tuple(organisation_from(row) for row in self._session.scalars(query))

    def change(self, organisation: Organisation) -> bool:
        """Stores the organisation as it is now; False when the name is taken."""
        statement = update(OrganisationRow).where(OrganisationRow.id == organisation.id)
        return attempt(self._session, statement.values(**fields_of(organisation)))

    def sites(self, organisation_id: str) -> Sequence[Place]:
        """Its sites by name."""
        return self._places(SiteRow, organisation_id)

    def trade_roles(self, organisation_id: str) -> Sequence[Place]:
        """What people work as there, by name."""
        return self._places(TradeRoleRow, organisation_id)

    def add_site(self, site: Place) -> bool:
        """Stores a site; False when the name is taken."""
        return insert_unless_there(self._session, SiteRow, fields_of(site))

    def add_trade_role(self, role: Place) -> bool:
        """Stores what somebody works as; False when the name is taken."""
        return insert_unless_there(self._session, TradeRoleRow, fields_of(role))

    def member_counts(self) -> Mapping[str, int]:
        """How many active members each organisation has."""
        query = (
            select(MemberRow.organisation_id, func.count())
            .where(MemberRow.state == MemberState.ACTIVE.value)
            .group_by(MemberRow.organisation_id)
        )
        return {row[0]: row[1] for row in self._session.execute(query)}

    def _places(self, table: type[SiteRow | TradeRoleRow], organisation_id: str) -> Sequence[Place]:
        query = select(table).where(table.organisation_id == organisation_id).order_by(table.name)
        return tuple(Place(**values_of(row, Place)) for row in self._session.scalars(query))


def attempt(session: Session, statement: object) -> bool:
    """Executes a change; False when it collides with another row, the transaction going on as before."""
    try:
        with session.begin_nested():
            session.execute(statement)  # type: ignore[call-overload]
    except IntegrityError:
        return False
    return True
