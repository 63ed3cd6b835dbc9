"""A college and a firm with one member for each role, and browsers that are signed in as them."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.web.conftest import NOON
from trainer.config import Settings
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.services.people.hashing import Argon2
from trainer.services.people.mail import Mail
from trainer.services.people.records import Member, Organisation, Person
from trainer.services.people.words import MemberState, OrganisationKind, Role
from trainer.web.app import create_app
from trainer.web.present import Desks
from trainer.web.wiring import Wiring

# Invented; four unrelated words, as the page advises.
PASSWORD = "kettle lantern fjord mosaic"
# Cheap, so that the tests do not wait for what is meant to take long.
CHEAP = Argon2(iterations=1, memory_kib=8)


@dataclass
class Clock:
    """A clock that a test moves."""

    now: datetime = NOON

    def __call__(self) -> datetime:
        return self.now

    def pass_by(self, time: timedelta) -> None:
        self.now += time


@dataclass
class Box:
    """Mail that was sent."""

    sent: list[Mail] = field(default_factory=list)

    def send(self, mail: Mail) -> None:
        self.sent.append(mail)

    def links(self) -> list[str]:
        """The paths of the links in it."""
        return [re.search(r"https?://[^/]+(/\S+)", mail.text)[1] for mail in self.sent]


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def box() -> Box:
    return Box()


@pytest.fixture
def app(settings: Settings, storage: SqlStorage, clock: Clock, box: Box) -> Flask:
    made = create_app(settings, Wiring(storage=storage, now=clock, mail=box))
    desks = made.extensions["trainer.desks"]
    assert isinstance(desks, Desks)
    desks.__dict__["hasher"] = CHEAP
    return made


@dataclass(frozen=True)
class House:
    """One organisation with its members by role: the id of a member is its organisation's with the role."""

    organisation: str

    def member(self, role: Role) -> str:
        return f"{self.organisation}-{role.value}"


def build(storage: SqlStorage, name: str, *, second_factor: bool = False) -> House:
    """An organisation with an active member for each role."""
    with storage.scopes(people_repositories).writing() as stored:
        stored.organisations.add(
            Organisation(
                id=name,
                name=f"The {name}",
                kind=OrganisationKind.COLLEGE,
                release_needs_second_person=False,
                staff_need_second_factor=second_factor,
                created_at=NOON,
            )
        )
        for role in Role:
            person_id = f"{name}-{role.value}"
            stored.people.add(person(person_id))
            stored.members.add(member(person_id, name, role, person_id=person_id))
    return House(name)


def person(name: str, **more: object) -> Person:
    values: dict[str, object] = {
        "id": name,
        "sign_in_name": name,
        "email": None,
        "display_name": name.title(),
        "password_hash": CHEAP.hash(PASSWORD),
        "password_changed_at": NOON,
        "is_operator": False,
        "learner_id": None,
        "created_at": NOON,
    }
    return Person(**{**values, **more})


def member(member_id: str, organisation: str, role: Role, **more: object) -> Member:
    values: dict[str, object] = {
        "id": member_id,
        "organisation_id": organisation,
        "person_id": None,
        "display_name": member_id.title(),
        "email": None,
        "reference": f"ref-{member_id}",
        "site_id": None,
        "trade_role_id": None,
        "state": MemberState.ACTIVE,
        "created_at": NOON,
        "roles": frozenset({role}),
    }
    return Member(**{**values, **more})


@pytest.fixture
def college(storage: SqlStorage) -> House:
    return build(storage, "college")


@pytest.fixture
def firm(storage: SqlStorage) -> House:
    return build(storage, "firm")


def token_in(page: str) -> str:
    """The token against other sites in a page."""
    found = re.search(r'name="csrf_token"[^>]*value="([^"]+)"', page)
    assert found is not None, page
    return found[1]


class Browser:
    """A client that sends forms with their token, as a browser does."""

    def __init__(self, client: FlaskClient) -> None:
        self.client = client

    def get(self, path: str, **more: object):
        return self.client.get(path, **more)

    def post(self, path: str, data: dict[str, object] | None = None, page: str = "/sign-in", **more: object):
        token = token_in(self.client.get(page, follow_redirects=True).text)
        return self.client.post(path, data={"csrf_token": token, **(data or {})}, **more)

    def sign_in(self, name: str, password: str = PASSWORD, **more: object):
        return self.post("/sign-in", {"name": name, "password": password, **more})


@pytest.fixture
def browser_of(app: Flask) -> Callable[[str | None], Browser]:
    """A new browser, signed in under a name or not at all."""

    def made(name: str | None = None) -> Browser:
        browser = Browser(app.test_client())
        if name is not None:
            answer = browser.sign_in(name)
            assert answer.status_code == 303, answer.text
        return browser

    return made
