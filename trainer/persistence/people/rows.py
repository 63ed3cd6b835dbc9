"""Rows to records and back."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from enum import Enum
from typing import Any

from sqlalchemy import Row, Table

from trainer.persistence.models import Base
from trainer.persistence.tables.organisations import MemberRow, OrganisationRow
from trainer.services.people.records import Member, Organisation
from trainer.services.people.words import MemberState, OrganisationKind, Role


def values_of(row: Base | Row[Any], record: type[Any]) -> dict[str, Any]:
    """The values of a row under the names of a record."""
    return {name: getattr(row, name) for name in record.__slots__}


def table_of(table: type[Base]) -> Table:
    """The table itself, for statements that need none of its rows as objects."""
    found = table.__table__
    assert isinstance(found, Table), "every class of ours has a table of its own"  # noqa: S101 - tells mypy
    return found


def columns_of(table: type[Base], record: type[Any], *, leave: Collection[str] = ()) -> list[Any]:
    """The columns of a table in the order of a record's fields, for statements that give plain values."""
    columns = table_of(table).c
    return [columns[name] for name in record.__slots__ if name not in leave]


def fields_of(record: Any) -> dict[str, Any]:
    """The values of a record as they go into its row."""
    values = {name: getattr(record, name) for name in record.__slots__}
    return {name: value.value if isinstance(value, Enum) else value for name, value in values.items()}


def member_from(row: MemberRow, roles: frozenset[Role]) -> Member:
    """A member with the roles."""
    return member_of({name: getattr(row, name) for name in Member.__slots__ if name != "roles"}, roles)


def member_of(values: Mapping[str, Any], roles: frozenset[Role]) -> Member:
    """A member with the roles, of the values of the row."""
    return Member(**{**values, "state": MemberState(values["state"]), "roles": roles})


def member_fields(member: Member) -> dict[str, Any]:
    """The values of a member's row."""
    values = fields_of(member)
    del values["roles"]
    return {**values, "sort_name": sorted_as(member.display_name)}


def organisation_from(row: OrganisationRow) -> Organisation:
    """An organisation."""
    return organisation_of(values_of(row, Organisation))


def organisation_of(values: Mapping[str, Any]) -> Organisation:
    """An organisation of the values of its row."""
    return Organisation(**{**values, "kind": OrganisationKind(values["kind"])})


def sorted_as(name: str) -> str:
    """A name as it is sorted and searched."""
    return " ".join(name.split()).casefold()[:200]
