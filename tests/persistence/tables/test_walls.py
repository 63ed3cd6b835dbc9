"""What the database itself refuses, whatever the program above it does."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from sqlalchemy import inspect
from sqlalchemy.exc import IntegrityError

from trainer.persistence.database import Database
from trainer.persistence.tables import Base
from trainer.persistence.tables.accounts import PersonRow
from trainer.persistence.tables.organisations import (
    GroupMemberRow,
    MemberRow,
    OrganisationRow,
    StudyGroupRow,
)

NOON = datetime(2026, 11, 2, 12, 0, tzinfo=UTC)


def organisation(name: str) -> OrganisationRow:
    return OrganisationRow(
        id=name,
        name=name,
        kind="college",
        release_needs_second_person=False,
        staff_need_second_factor=True,
        created_at=NOON,
    )


def member(organisation_id: str, **more: object) -> MemberRow:
    values = {"id": f"member-of-{organisation_id}", "display_name": "A", "sort_name": "a", "state": "invited"}
    return MemberRow(organisation_id=organisation_id, created_at=NOON, **{**values, **more})


@pytest.fixture
def two_organisations(database: Database) -> Database:
    with database.writing() as session:
        session.add_all([organisation("north"), organisation("south")])
        session.flush()
        session.add_all([member("north"), StudyGroupRow(id="g", organisation_id="south", name="g", created_at=NOON)])
    return database


@pytest.mark.parametrize("claimed", ["north", "south"])
def test_nobody_can_be_put_into_a_group_of_another_organisation(two_organisations: Database, claimed: str) -> None:
    row = GroupMemberRow(
        group_id="g", member_id="member-of-north", organisation_id=claimed, part="learns", joined_at=NOON
    )
    with pytest.raises(IntegrityError), two_organisations.writing() as session:
        session.add(row)


def test_a_word_outside_the_closed_list_is_refused(two_organisations: Database) -> None:
    with pytest.raises(IntegrityError, match="ck_member_state_is_known"), two_organisations.writing() as session:
        session.add(member("south", state="somewhere"))


def test_an_active_member_has_a_person(two_organisations: Database) -> None:
    with pytest.raises(IntegrityError, match="active_has_a_person"), two_organisations.writing() as session:
        session.add(member("south", state="active"))


def test_two_accounts_never_share_a_sign_in_name(database: Database) -> None:
    with pytest.raises(IntegrityError), database.writing() as session:
        session.add_all(
            [
                PersonRow(id=each, sign_in_name="same", display_name="N", is_operator=False, created_at=NOON)
                for each in ("one", "two")
            ]
        )


def test_whatever_names_an_organisation_refers_only_to_rows_of_the_same_one(database: Database) -> None:
    """Tables that carry an organisation refer to one another together with it, or only to who did something."""
    walled = {name for name, table in Base.metadata.tables.items() if "organisation_id" in table.columns}
    ids = {name for name in walled if "id" in Base.metadata.tables[name].columns}
    loose = []
    for name in sorted(walled):
        for key in inspect(Base.metadata.tables[name]).foreign_key_constraints:
            columns = [column.name for column in key.columns]
            if key.referred_table.name in ids and "organisation_id" not in columns and not columns[0].endswith("_by"):
                loose.append(f"{name}.{columns[0]}")
    assert loose == []
