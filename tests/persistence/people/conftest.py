"""A database of each kind with one organisation in it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.web.people.conftest import NOON, member, person
from trainer.config import sqlite_url
from trainer.persistence.database import Database
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.schema import upgrade
from trainer.services.people.records import Group, Organisation
from trainer.services.people.words import OrganisationKind, Role


@pytest.fixture(params=["sqlite", "postgresql"])
def storage(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[SqlStorage]:
    if request.param == "sqlite":
        address, server, name = sqlite_url(tmp_path / "trainer.sqlite3"), None, ""
    else:
        server = request.getfixturevalue("postgresql_server")
        name = server.fresh()
        address = server.address_of(name)
    database = Database(address)
    upgrade(database)
    yield SqlStorage(database)
    database.close()
    if server is not None:
        server.drop(name)


@pytest.fixture
def college(storage: SqlStorage) -> SqlStorage:
    """An organisation with two administrators and a group."""
    with storage.scopes(people_repositories).writing() as stored:
        stored.organisations.add(
            Organisation(
                id="college",
                name="The college",
                kind=OrganisationKind.COLLEGE,
                release_needs_second_person=False,
                staff_need_second_factor=False,
                created_at=NOON,
            )
        )
        for name in ("first", "second"):
            stored.people.add(person(name))
            stored.members.add(member(name, "college", Role.ADMINISTRATOR, person_id=name))
        stored.groups.add(Group(id="group", organisation_id="college", name="Group", created_at=NOON))
    return storage
