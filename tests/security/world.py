"""Two organisations with one of everything, a paper that is sat, practice of every kind, and browsers of every role.

Made once and kept as a file, so that each test may spoil its own copy.
"""

from __future__ import annotations

import re
import shutil
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import update

from tests.services.sittings.world import SECRET, furnish
from tests.web.conftest import NOON
from tests.web.people.conftest import CHEAP, PASSWORD, person, token_in
from tests.web.people.world import furnished, ids_of
from trainer.config import Settings, sqlite_url
from trainer.persistence.database import Database
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.schema import upgrade
from trainer.persistence.tables.organisations import StudyGroupRow
from trainer.services.people.records import SecondFactor
from trainer.services.people.words import Role
from trainer.web.app import create_app
from trainer.web.wiring import Wiring

KEY = "a secret that is used in tests only"
# What no answer of the server may ever hold.
NEVER = (SECRET, KEY, "$argon2", "Traceback (most recent call last)", 'File "/')
VISITOR, OPERATOR = "visitor", "operator"
ROLES = (VISITOR, *(f"college-{role.value}" for role in Role), "firm-administrator", OPERATOR)
KINDS = ("choose", "inspect", "measure", "question")


@dataclass(frozen=True, slots=True, kw_only=True)
class Seat:
    """A browser that is signed in: its cookie, and a token for forms."""

    cookie: str
    token: str


@dataclass(frozen=True, kw_only=True)
class World:
    """The file of the database, ids that are there, and browsers."""

    file: Path
    seats: dict[str, Seat]
    ids: dict[str, str]
    others: dict[str, str]
    pages: dict[str, str] = field(default_factory=dict)


def settings_for(folder: Path, **more: str) -> Settings:
    return Settings(data_folder=folder, database_url=sqlite_url(folder / "trainer.sqlite3"), secret_key=KEY, **more)


def app_over(folder: Path, now: datetime = NOON) -> tuple[Flask, Database]:
    settings = settings_for(folder)
    database = Database(settings.database_url)
    app = create_app(settings, Wiring(storage=SqlStorage(database), now=lambda: now))
    app.extensions["trainer.desks"].__dict__["hasher"] = CHEAP
    return app, database


def copied(world: World, folder: Path) -> tuple[Flask, Database]:
    """An application over a copy of the world."""
    folder.mkdir(parents=True, exist_ok=True)
    for leftover in folder.glob("trainer.sqlite3*"):
        leftover.unlink()
    shutil.copyfile(world.file, folder / "trainer.sqlite3")
    return app_over(folder)


def seated(app: Flask, seat: Seat | None) -> FlaskClient:
    """A new browser with the cookie of a seat."""
    client = app.test_client()
    if seat is not None:
        client.set_cookie("trainer", seat.cookie)
    return client


def built(folder: Path) -> World:
    """The world, in a folder of its own."""
    settings = settings_for(folder)
    database = Database(settings.database_url)
    upgrade(database)
    storage = SqlStorage(database)
    college, firm = furnished(storage, "college"), furnished(storage, "firm")
    with storage.database.writing() as session:
        # Makes room for the group that sits the paper.
        session.execute(update(StudyGroupRow).values(name="Another"))
    furnish(storage, names=("college-learner", "bob"))
    with storage.scopes(people_repositories).writing() as stored:
        stored.people.add(person(OPERATOR, is_operator=True))
        stored.second_factors.put(
            SecondFactor(person_id=OPERATOR, salt="s", created_at=NOON, confirmed_at=NOON, last_step=0)
        )
    app, own = app_over(folder)
    seats = {name: _seat(app, storage, None if name == VISITOR else name) for name in ROLES}
    ids = ids_of(college) | {"filename": "trainer.css", "rule_id": "RCD-01", "objective_id": "LO05", "code": "x"}
    ids |= _sat(app, seats["college-learner"])
    pages = _practised(app, seats[VISITOR])
    ids |= {"page_id": pages["choose"], "attempt_id": "1"}
    own.close()
    _settled(database)
    return World(file=folder / "trainer.sqlite3", seats=seats, ids=ids, others=ids_of(firm), pages=pages)


def _seat(app: Flask, storage: SqlStorage, name: str | None) -> Seat:
    client = app.test_client()
    if name is not None:
        token = token_in(client.get("/sign-in").text)
        answer = client.post("/sign-in", data={"name": name, "password": PASSWORD, "csrf_token": token})
        assert answer.status_code == 303, answer.text
    if name == OPERATOR:
        with storage.scopes(people_repositories).writing() as stored:
            for session in stored.sessions.of_person(OPERATOR):
                stored.sessions.rotate(session.id, session.token_hash, second_factor_at=NOON)
    token = token_in(client.get("/join").text)
    cookie = client.get_cookie("trainer")
    assert cookie is not None
    return Seat(cookie=cookie.value, token=token)


def _sat(app: Flask, seat: Seat) -> dict[str, str]:
    answer = seated(app, seat).post("/my-papers/paper/start", data={"number": "1", "csrf_token": seat.token})
    found = re.fullmatch(r"/sittings/([^/]+)", answer.headers.get("Location", ""))
    assert found, answer.text
    return {"paper_id": "paper", "group_id": "group", "sitting_id": found[1]}


def _practised(app: Flask, seat: Seat) -> dict[str, str]:
    """A page of each kind of task."""
    pages = {}
    client = seated(app, seat)
    for kind in KINDS:
        answer = client.post("/practise", data={"kind": kind, "level": "1", "csrf_token": seat.token})
        found = re.match(r"/s/([^/]+)", answer.headers.get("Location", ""))
        assert found, (kind, answer.text)
        pages[kind] = found[1]
    return pages


def _settled(database: Database) -> None:
    """Writes everything into the one file."""
    with database.migrating() as connection:
        connection.exec_driver_sql("DELETE FROM rate_count")
    database.close()
    import sqlite3

    path = database._url.database
    assert path is not None
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.execute("PRAGMA journal_mode=DELETE")
    connection.close()
