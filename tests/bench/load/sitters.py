"""People at a paper: a college in a database, and browsers of a few lines that sign in, start and save."""

from __future__ import annotations

import http.client
import json
import re
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from dataclasses import dataclass, field
from urllib.parse import urlencode

from sqlalchemy import select

from tests.services.sittings.world import COLLEGE, PAPER, furnish
from tests.web.people.conftest import PASSWORD, build, member, person, token_in
from trainer.persistence.database import Database
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.schema import upgrade
from trainer.persistence.tables.sittings import SavedAnswerRow
from trainer.services.people.words import Role

ITEM = 2


def college(address: str, sitters: int) -> list[str]:
    """Fills an empty database with a paper and people who may sit it; gives their names."""
    database = Database(address)
    upgrade(database)
    storage = SqlStorage(database)
    names = [f"sitter-{number}" for number in range(sitters)]
    build(storage, COLLEGE)
    with storage.scopes(people_repositories).writing() as stored:
        for name in names:
            stored.people.add(person(name))
            stored.members.add(member(name, COLLEGE, Role.LEARNER, person_id=name))
    furnish(storage, names=tuple(names))
    database.close()
    return names


@dataclass
class Sitter:
    """One browser; its cookies outlive the server."""

    name: str
    port: int
    cookies: dict[str, str] = field(default_factory=dict)
    path: str = ""
    hidden: dict[str, str] = field(default_factory=dict)
    sequence: int = 0
    acknowledged: int = 0

    def ask(self, method: str, path: str, data: dict[str, object] | None = None) -> tuple[int, str, str]:
        """Status, text and place to go on to."""
        with closing(http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)) as connection:
            connection.request(method, path, urlencode(data) if data else None, self.headers(data is not None))
            answer = connection.getresponse()
            text = answer.read().decode()
        for cookie in answer.headers.get_all("Set-Cookie") or []:
            name, _, rest = cookie.partition("=")
            self.cookies[name] = rest.partition(";")[0]
        return answer.status, text, answer.headers.get("Location") or ""

    def headers(self, form: bool) -> dict[str, str]:
        """The cookies, and the type of a form."""
        headers = {"Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items())}
        return {**headers, "Content-Type": "application/x-www-form-urlencoded"} if form else headers

    def sign_in(self) -> None:
        """Signs in."""
        token = token_in(self.ask("GET", "/sign-in")[1])
        fields = {"csrf_token": token, "name": self.name, "password": PASSWORD}
        assert self.ask("POST", "/sign-in", fields)[0] == 303

    def sit_down(self) -> None:
        """Signs in, starts the paper and opens a task."""
        self.sign_in()
        token = token_in(self.ask("GET", f"/my-papers/{PAPER}")[1])
        status, text, self.path = self.ask("POST", f"/my-papers/{PAPER}/start", {"csrf_token": token, "number": "1"})
        assert status == 303, text
        self.read(self.ask("GET", f"{self.path}/items/{ITEM}")[1])

    def read(self, page: str) -> None:
        """Takes from the page of a task what its form sends along."""
        form = page[page.index('id="decisions"') :]
        self.hidden = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', form)[:4])

    def next_save(self) -> tuple[str, dict[str, object]]:
        """Address and fields of the next save."""
        self.sequence += 1
        return f"{self.path}/items/{ITEM}/save", {
            **self.hidden,
            "sequence": self.sequence,
            "choice-question": str(self.sequence),
        }

    def told(self, text: str) -> None:
        """Notes what the server called saved."""
        said = json.loads(text)
        assert said["state"] == "saved", text
        self.acknowledged = max(self.acknowledged, said["sequence"])


def seated(names: Sequence[str], port: int) -> list[Sitter]:
    """All of them at the paper."""
    sitters = [Sitter(name, port) for name in names]
    with ThreadPoolExecutor(3) as pool:
        list(pool.map(Sitter.sit_down, sitters))
    return sitters


def lost(address: str, sitters: Sequence[Sitter]) -> list[str]:
    """Whoever was told of a save that is not in the database, with both numbers."""
    database = Database(address)
    with database.reading() as session:
        rows = session.execute(select(SavedAnswerRow.sitting_id, SavedAnswerRow.sequence, SavedAnswerRow.answers_json))
        kept = {sitting: (sequence, answers) for sitting, sequence, answers in rows}
    database.close()
    found = []
    for each in sitters:
        sequence, answers = kept.get(each.path.rpartition("/")[2], (0, "{}"))
        value = json.loads(answers).get("question", "")
        if sequence < each.acknowledged or (sequence and not value.startswith(str(sequence))):
            found.append(f"{each.name}: told {each.acknowledged}, kept {sequence} with {value!r}")
    return found
