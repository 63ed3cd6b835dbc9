"""Very many people at a paper, put there in bulk: signing in and starting take longer than the run that is measured.

Everything that is measured goes the way of every browser: over HTTP, with cookies that the program reads.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from urllib.parse import urlencode

from flask import Flask, session
from flask_wtf.csrf import generate_csrf
from sqlalchemy import func, select

from tests.bench.load.sending import request_bytes
from tests.services.sittings.world import COLLEGE, PAPER, furnish, right_answers, tasks_of
from tests.web.people.conftest import PASSWORD, build, member, person
from trainer.config import settings_from
from trainer.persistence.database import Database
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.schema import upgrade
from trainer.persistence.sittings.repositories import sitting_repositories
from trainer.persistence.tables.sittings import SavedAnswerRow, SittingRow
from trainer.services.papers.words import SittingState
from trainer.services.people.hashing import Argon2
from trainer.services.people.records import Session
from trainer.services.people.secrets import hash_of, new_token
from trainer.services.people.words import Role
from trainer.services.sittings.desk import items_of
from trainer.services.sittings.records import Sitting
from trainer.web import security
from trainer.web.present import TOKEN
from trainer.web.sessions import SignedCookieSessions

HOUSE, NUMBER = 1, 2
"""The items that are saved in turn: one with the choices of a house, one with a number that counts the saves."""
ITEMS = 4
_FORM = "application/x-www-form-urlencoded"


@dataclass
class Seat:
    """One browser at one sitting."""

    name: str
    sitting_id: str
    cookie: str
    csrf_token: str
    house: dict[str, str]
    sequence: int = 0
    pages: int = 0
    acknowledged: dict[int, int] = field(default_factory=dict)

    @property
    def path(self) -> str:
        """Where the sitting is."""
        return f"/sittings/{self.sitting_id}"

    def save(self) -> bytes:
        """The next save: the house and the number in turn."""
        self.sequence += 1
        position = NUMBER if self.sequence % 2 else HOUSE
        said = {"choice-question": str(self.sequence)} if position == NUMBER else self.house
        stamp = {"csrf_token": self.csrf_token, "sender": "page", "sequence": str(self.sequence), "base": "0"}
        return self._post(f"{self.path}/items/{position}/save", {**stamp, **said})

    def page(self) -> bytes:
        """The next task of the paper, compressed as a browser asks."""
        self.pages += 1
        return self.get(f"{self.path}/items/{1 + self.pages % ITEMS}")

    def hand_in(self) -> bytes:
        """The end."""
        return self._post(f"{self.path}/hand-in", {"csrf_token": self.csrf_token})

    def get(self, path: str) -> bytes:
        """Any page."""
        return request_bytes("GET", path, {"Cookie": self.cookie, "Accept-Encoding": "gzip"})

    def saved(self, text: str) -> None:
        """Notes what the server called saved: odd numbers are saves of the number."""
        said = json.loads(text)
        assert said["state"] == "saved", text
        position = NUMBER if said["sequence"] % 2 else HOUSE
        self.acknowledged[position] = max(self.acknowledged.get(position, 0), said["sequence"])

    def _post(self, path: str, fields: dict[str, str]) -> bytes:
        return request_bytes("POST", path, {"Cookie": self.cookie, "Content-Type": _FORM}, urlencode(fields))


def seated(address: str, folder: Path, people: int, variants: int) -> list[Seat]:
    """Fills an empty database with a college whose learners sit its paper, each of them signed in."""
    database = Database(address)
    upgrade(database)
    storage = SqlStorage(database)
    names = [f"sitter-{number}" for number in range(people)]
    _enrol(storage, names)
    furnish(storage, names=tuple(names), variants=variants)
    tokens = {name: new_token() for name in names}
    _sign_in(storage, tokens)
    numbers = {name: 1 + place % variants for place, name in enumerate(names)}
    _sit_down(storage, numbers)
    database.close()
    houses = {number: _house(number) for number in set(numbers.values())}
    bakery = _Bakery(settings_from({}, data_folder=folder).secret_key)
    seats = []
    for name in names:
        cookie, csrf_token = bakery.cookie({TOKEN: tokens[name], "_permanent": True})
        seats.append(Seat(name, f"at-{name}", cookie, csrf_token, houses[numbers[name]]))
    return seats


def callers(address: str, folder: Path, people: int) -> list[bytes]:
    """Sign-ins of people whose passwords are hashed as the program does it, each from a browser of its own."""
    database = Database(address)
    hashed = Argon2().hash(PASSWORD)
    names = [f"caller-{number}" for number in range(people)]
    with SqlStorage(database).scopes(people_repositories).writing() as stored:
        for name in names:
            stored.people.add(person(name, password_hash=hashed))
    database.close()
    bakery = _Bakery(settings_from({}, data_folder=folder).secret_key)
    requests = []
    for name in names:
        cookie, csrf_token = bakery.cookie({})
        body = urlencode({"csrf_token": csrf_token, "name": name, "password": PASSWORD})
        requests.append(request_bytes("POST", "/sign-in", {"Cookie": cookie, "Content-Type": _FORM}, body))
    return requests


def lost(address: str, seats: Sequence[Seat]) -> list[str]:
    """Whoever was told of a save that is not in the database, with both numbers."""
    row = SavedAnswerRow
    database = Database(address)
    with database.reading() as stored:
        rows = stored.execute(select(row.sitting_id, row.position, row.sequence, row.answers_json))
        kept = {(sitting, position): (sequence, answers) for sitting, position, sequence, answers in rows}
    database.close()
    found = []
    for seat in seats:
        for position, told in seat.acknowledged.items():
            sequence, answers = kept.get((seat.sitting_id, position), (0, "{}"))
            right = position == HOUSE or json.loads(answers).get("question", "").startswith(str(sequence))
            if sequence < told or not right:
                found.append(f"{seat.name}, item {position}: told {told}, kept {sequence}")
    return found


def unmarked(address: str) -> tuple[int, int]:
    """How many sittings are handed in, and how many of those are still to be marked."""
    database = Database(address)
    with database.reading() as stored:
        handed_in = SittingRow.state == SittingState.HANDED_IN.value
        counts = stored.execute(select(func.count(), func.count(SittingRow.grading_number)).where(handed_in)).one()
    database.close()
    return counts[0], counts[0] - counts[1]


def _enrol(storage: SqlStorage, names: Sequence[str]) -> None:
    build(storage, COLLEGE)
    with storage.scopes(people_repositories).writing() as stored:
        for name in names:
            stored.people.add(person(name))
            stored.members.add(member(name, COLLEGE, Role.LEARNER, person_id=name))


def _sign_in(storage: SqlStorage, tokens: dict[str, str]) -> None:
    now = datetime.now(UTC)
    with storage.scopes(people_repositories).writing() as stored:
        for name, token in tokens.items():
            stored.sessions.add(
                Session(
                    id=f"session-{name}",
                    token_hash=hash_of(token),
                    person_id=name,
                    member_id=name,
                    device="bench",
                    created_at=now,
                    last_seen_at=now,
                    expires_at=now + timedelta(days=20),
                )
            )


def _sit_down(storage: SqlStorage, variants: dict[str, int]) -> None:
    now = datetime.now(UTC)
    with storage.scopes(sitting_repositories).writing() as stored:
        drawn = {number: stored.papers.variant(PAPER, number) for number in set(variants.values())}
        for place, (name, variant) in enumerate(variants.items()):
            sitting = Sitting(
                id=f"at-{name}",
                organisation_id=COLLEGE,
                member_id=name,
                paper_id=PAPER,
                assignment_id=None,
                number=1,
                candidate_number=f"c{place}",
                variant=variant,
                seed=variant,
                state=SittingState.RUNNING,
                started_at=now,
                deadline_at=now + timedelta(hours=1),
                paused_at=None,
                paused_s=0,
                extra_time_s=0,
                larger_text=False,
                last_seen_at=now,
            )
            items = items_of(drawn[variant])
            assert stored.sittings.add(sitting, items)


def _house(variant: int) -> dict[str, str]:
    return {f"choice-{name}": value for name, value in right_answers(tasks_of(variant)[HOUSE]).items()}


class _Bakery:
    """Makes cookies as the program would, with its secret."""

    def __init__(self, secret_key: str) -> None:
        self._app = Flask("bakery")
        self._app.secret_key = secret_key
        # Signs as the program does.
        security.install(self._app)

    def cookie(self, values: dict[str, object]) -> tuple[str, str]:
        """The header of a cookie that holds the values, and the token of the forms of its session."""
        with self._app.test_request_context():
            csrf_token = generate_csrf()
            held = {**dict(session), **values}
        signer = SignedCookieSessions().get_signing_serializer(self._app)
        assert signer is not None
        return f"trainer={signer.dumps(held)}", csrf_token
