"""Rows to records and back."""

from __future__ import annotations

from enum import Enum
from typing import Any

from trainer.persistence.models import Base
from trainer.persistence.tables.organisations import MemberRow, OrganisationRow
from trainer.services.people.records import Member, Organisation
from trainer.services.people.words import MemberState, OrganisationKind, Role


def values_of(row: Base, record: type[Any]) -> dict[str, Any]:
    """The values of a row under the names of a record."""
    return {name: getattr(row, name) for name in record.__slots__}


def fields_of(record: Any) -> dict[str, Any]:
    """The values of a record as they go into its row."""
    values = {name: getattr(record, name) for name in record.__slots__}
    return {name: value.value if isinstance(value, Enum) else value for name, value in values.items()}


def member_from(row: MemberRow, roles: frozenset[Role]) -> Member:
    """A member with the roles."""
    names = (name for name in Member.__slots__ if name not in {"roles", "state"})
    return Member(**{name: getattr(row, name) for name in names}, state=MemberState(row.state), roles=roles)


def member_fields(member: Member) -> dict[str, Any]:
    """The values of a member's row."""
    values = fields_of(member)
    del values["roles"]
    return {**values, "sort_name": sorted_as(member.display_name)}


def organisation_from(row: OrganisationRow) -> Organisation:
    """An organisation."""
    return Organisation(**{**values_of(row, Organisation), "kind": OrganisationKind(row.kind)})


def sorted_as(name: str) -> str:
    """A name as it is sorted and searched."""
    return " ".join(name.split()).casefold()[:200]
