"""People who sit one attempt after another while everything around them fails, and note what they were told."""

from __future__ import annotations

import http.client
import json
import random
import re
import threading
import time
from collections import Counter
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, field

from sqlalchemy import update

from tests.bench.load.sitters import ITEM, Sitter
from tests.services.sittings.world import PAPER
from tests.web.people.conftest import token_in
from trainer.persistence.database import Database
from trainer.persistence.tables.papers import PaperRow

ATTEMPTS = 900
_SAVES_AN_ATTEMPT = 12
# What an answer may be while something is broken: the page that says so, or the proxy of none at all.
_TOLD = (503, 507)


@dataclass
class Ledger:
    """What was told to be saved and handed in, by the sitting; and what came back else."""

    saved: dict[str, int] = field(default_factory=dict)
    saves: int = 0
    handed_in: set[str] = field(default_factory=set)
    answers: Counter[str] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)
    last_saved_s: float = 0.0


@dataclass
class Person(Sitter):
    """One browser that never gives up."""

    ledger: Ledger = field(default_factory=Ledger)
    number: int = 0

    def go_on(self, over: threading.Event, chance: random.Random) -> None:
        """Attempts, one after another, until it is over."""
        while not over.is_set() and self.number < ATTEMPTS:
            self.number += 1
            if not self._until(over, self._started):
                return
            for _ in range(chance.randint(2, _SAVES_AN_ATTEMPT)):
                if not self._until(over, self._saved):
                    return
                time.sleep(chance.uniform(0, 0.1))
            if not self._until(over, self._handed_in):
                return

    def _until(self, over: threading.Event, step: object) -> bool:
        assert callable(step)
        while not over.is_set():
            try:
                if step():
                    return True
            except (OSError, http.client.HTTPException, TimeoutError) as error:
                self.ledger.answers[type(error).__name__] += 1
            time.sleep(0.1)
        return False

    def _started(self) -> bool:
        status, text, _ = self.ask("GET", f"/my-papers/{PAPER}")
        if not self._expected(status, 200, text):
            return False
        # An attempt whose start was not heard of is gone on with.
        begun = re.search(r'href="(/sittings/[^"/]+)">Go on', text)
        path = begun[1] if begun else ""
        if not begun:
            fields = {"csrf_token": token_in(text), "number": str(self.number)}
            status, text, path = self.ask("POST", f"/my-papers/{PAPER}/start", fields)
            if not self._expected(status, 303, text):
                return False
        status, page, _ = self.ask("GET", f"{path}/items/{ITEM}")
        if not self._expected(status, 200, page):
            return False
        self.path, self.sequence, self.acknowledged = path, 0, 0
        self.read(page)
        return True

    def _saved(self) -> bool:
        began = time.monotonic()
        status, text, _ = self.ask("POST", *self.next_save())
        if not self._expected(status, 200, text):
            return False
        said = json.loads(text)
        if said["state"] != "saved" or said["sequence"] != self.sequence:
            self.ledger.wrong.append(f"{self.path}: {text}")
        self.ledger.saved[self._id] = said["sequence"]
        self.ledger.saves += 1
        self.ledger.last_saved_s = max(self.ledger.last_saved_s, began)
        return True

    def _handed_in(self) -> bool:
        """Pressed twice at the same moment, as impatient people do."""
        fields = {"csrf_token": self.hidden["csrf_token"]}
        with ThreadPoolExecutor(2) as pool:
            both = [pool.submit(self.ask, "POST", f"{self.path}/hand-in", fields) for _ in range(2)]
        told = []
        for each in both:
            with suppress(OSError, http.client.HTTPException):
                status, text, _ = each.result()
                told.append(self._expected(status, 303, text))
        if not any(told):
            return False
        self.ledger.handed_in.add(self._id)
        return True

    def _expected(self, status: int, wanted: int, text: str) -> bool:
        self.ledger.answers[str(status)] += 1
        if status != wanted and status not in _TOLD:
            self.ledger.wrong.append(f"{self.path}: {status} {' '.join(text.split())[:300]}")
        if status in _TOLD and "ot saved" not in text and "Load this page again" not in text:
            self.ledger.wrong.append(f"{self.path}: {status} does not tell what became of it")
        return status == wanted

    @property
    def _id(self) -> str:
        return self.path.rpartition("/")[2]


def seated(names: Sequence[str], port: int, ledger: Ledger) -> list[Person]:
    """People who are signed in."""
    people = [Person(name, port, ledger=ledger) for name in names]
    with ThreadPoolExecutor(3) as pool:
        list(pool.map(Person.sign_in, people))
    return people


def many_attempts(address: str) -> None:
    """Lets everybody sit the paper as often as they like, for days."""
    database = Database(address)
    with database.writing() as session:
        session.execute(update(PaperRow).values(attempts_allowed=ATTEMPTS, time_limit_s=10 * 86_400))
    database.close()
