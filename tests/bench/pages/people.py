"""Signed-in browsers over a crowd that ``trainer invent`` made, one for each role."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import func, select, text

from tests.bench.pages.places import Person
from tests.web.people.matrix import EVERYBODY, LEARNER
from trainer.config import Settings
from trainer.persistence.database import Database
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.sittings import SittingRow
from trainer.services.people.hashing import Argon2
from trainer.services.people.records import Person as Account
from trainer.services.people.records import SecondFactor
from trainer.web.app import create_app
from trainer.web.warming import warm
from trainer.web.wiring import Wiring

OPERATOR = "bench-operator"
# What each is called in the table; two more learners, since one alone has not everything to open.
ROLES = {
    "visitor": None,
    "learner": "learner",
    "learner at a paper": "",
    "fitter": "fitter",
    "lecturer": "lecturer",
    "training_manager": "manager",
    "administrator": "administrator",
    "operator": OPERATOR,
}
_SITTING_NOW = (
    "SELECT sign_in_name FROM person JOIN member ON member.person_id = person.id JOIN sitting ON"
    " sitting.member_id = member.id WHERE sitting.state = 'running' ORDER BY 1 LIMIT 1"
)
_WHO = (
    "SELECT person.id AS person_id, member.id AS member_id, organisation_id, learner_id FROM person LEFT JOIN member"
    " ON member.person_id = person.id WHERE sign_in_name = :name"
)


def matrix_name(role: str) -> str:
    """What the matrix of roles calls it."""
    return role if role in EVERYBODY else LEARNER


@dataclass(frozen=True, slots=True, kw_only=True)
class Seat:
    """A browser and who uses it."""

    who: Person
    client: FlaskClient


def app_over(database: Database, folder: Path) -> Flask:
    """The application as it serves, a few minutes after the last sitting of the crowd began."""
    with database.reading() as session:
        last = session.execute(select(func.max(SittingRow.started_at))).scalar_one()
    now: datetime = last + timedelta(minutes=5)
    settings = Settings(
        data_folder=folder,
        database_url=database.address.render_as_string(hide_password=False),
        secret_key="a secret that is used by the measurement only",
    )
    app = create_app(settings, Wiring(storage=SqlStorage(database), now=lambda: now))
    warm(app)
    return app


def seats(app: Flask, database: Database, password: str) -> dict[str, Seat]:
    """A browser for each role."""
    with database.reading() as session:
        at_paper = session.execute(text(_SITTING_NOW)).scalar_one()
    return {
        role: _seat(app, database, role, at_paper if name == "" else name, password) for role, name in ROLES.items()
    }


def _seat(app: Flask, database: Database, role: str, name: str | None, password: str) -> Seat:
    client = app.test_client()
    if name is None:
        return Seat(who=Person(role=role), client=client)
    if name == OPERATOR:
        _account(database, password)
    token = re.search(r'name="csrf_token"[^>]*value="([^"]+)"', client.get("/sign-in").text)
    assert token is not None
    answer = client.post("/sign-in", data={"name": name, "password": password, "csrf_token": token[1]})
    assert answer.status_code == 303, answer.text
    if name == OPERATOR:
        _with_second_factor(database)
    with database.reading() as session:
        row = session.execute(text(_WHO), {"name": name}).mappings().first()
    assert row is not None
    return Seat(who=Person(role=role, **row), client=client)


def _account(database: Database, password: str) -> None:
    now = datetime.now().astimezone()
    with SqlStorage(database).scopes(people_repositories).writing() as stored:
        if stored.people.get(OPERATOR) is not None:
            return
        stored.people.add(
            Account(
                id=OPERATOR, sign_in_name=OPERATOR, email=None, display_name="Operator",
                password_hash=Argon2().hash(password), password_changed_at=now, is_operator=True, learner_id=None,
                created_at=now,
            )
        )  # fmt: skip
        stored.second_factors.put(
            SecondFactor(person_id=OPERATOR, salt="s", created_at=now, confirmed_at=now, last_step=0)
        )


def _with_second_factor(database: Database) -> None:
    """As if the code had been given: it comes from a device that no measurement has."""
    with SqlStorage(database).scopes(people_repositories).writing() as stored:
        for session in stored.sessions.of_person(OPERATOR):
            stored.sessions.rotate(session.id, session.token_hash, second_factor_at=session.created_at)
