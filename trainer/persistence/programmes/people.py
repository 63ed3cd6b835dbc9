"""Members as the lists of a firm show them, in the database."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import func, select, tuple_
from sqlalchemy.orm import Session

from trainer.persistence.people.rows import sorted_as
from trainer.persistence.tables.accounts import PersonRow
from trainer.persistence.tables.organisations import MemberRow
from trainer.services.people.words import MemberState
from trainer.services.programmes.records import Filter, Somebody

COLUMNS = tuple(
    getattr(MemberRow, name)
    for name in ("id", "display_name", "sort_name", "email", "site_id", "trade_role_id", "organisation_id")
)


class SqlFirmPeople:
    """Members as the lists of a firm show them."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def page(
        self, organisation_id: str, chosen: Filter, after: tuple[str, str] | None, limit: int
    ) -> Sequence[Somebody]:
        """Members by name; those who left are left out."""
        query = _present(select(*COLUMNS), organisation_id, chosen)
        if after is not None:
            query = query.where(tuple_(MemberRow.sort_name, MemberRow.id) > after)
        query = query.order_by(MemberRow.sort_name, MemberRow.id).limit(limit)
        return tuple(somebody(row) for row in self._session.execute(query))

    def count(self, organisation_id: str, chosen: Filter) -> int:
        """How many all pages hold."""
        query = _present(select(func.count(MemberRow.id)), organisation_id, chosen)
        return int(self._session.execute(query).scalar_one())

    def get(self, organisation_id: str, member_id: str) -> Somebody | None:
        """The member with this id, with the learner under whom practice is recorded."""
        query = (
            select(*COLUMNS, PersonRow.learner_id)
            .outerjoin(PersonRow, PersonRow.id == MemberRow.person_id)
            .where(MemberRow.organisation_id == organisation_id, MemberRow.id == member_id)
        )
        row = self._session.execute(query).first()
        return None if row is None else somebody(row, row.learner_id)


def _present(query: Any, organisation_id: str, chosen: Filter) -> Any:
    query = chosen_people(query, chosen).where(MemberRow.organisation_id == organisation_id)
    return query.where(MemberRow.state != MemberState.ENDED.value)


def somebody(row: Any, learner_id: str | None = None) -> Somebody:
    """A member from a row with the columns of a list."""
    return Somebody(
        id=row.id,
        display_name=row.display_name,
        sort_name=row.sort_name,
        email=row.email,
        site_id=row.site_id,
        trade_role_id=row.trade_role_id,
        learner_id=learner_id,
    )


def chosen_people(query: Any, chosen: Filter) -> Any:
    """A query over members with what a list is narrowed by."""
    if chosen.site_id:
        query = query.where(MemberRow.site_id == chosen.site_id)
    if chosen.trade_role_id:
        query = query.where(MemberRow.trade_role_id == chosen.trade_role_id)
    if chosen.roles:
        query = query.where(MemberRow.trade_role_id.in_(chosen.roles))
    if chosen.search:
        query = query.where(MemberRow.sort_name.contains(sorted_as(chosen.search), autoescape=True))
    return query
