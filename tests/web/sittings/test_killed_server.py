"""The server is killed at random moments while somebody sits: nothing that it called saved may be lost.

SIGKILL lets a program do nothing more: no flush, no handler (POSIX.1-2017, signal.h).
"""

from __future__ import annotations

import http.client
import json
import random
import re
import signal
import subprocess
import sys
import threading
from contextlib import closing, suppress
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode

import pytest
from sqlalchemy import select

from tests.patience import PATIENCE_S
from tests.services.sittings.world import COLLEGE, PAPER, furnish
from tests.web.people.conftest import PASSWORD, build, token_in
from tests.web.sittings.conftest import LEARNER, fields_of
from trainer.cli.serving import finishing_over
from trainer.config import sqlite_url
from trainer.persistence.database import Database
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.schema import upgrade
from trainer.persistence.tables.sittings import GradingRow, SavedAnswerRow, SittingRow

SERVER = """
import sys
from pathlib import Path
from werkzeug.serving import make_server
from trainer.config import Settings, sqlite_url
from trainer.persistence.database import Database
from trainer.persistence.repositories import SqlStorage
from trainer.web.app import create_app
from trainer.web.wiring import Wiring
folder = Path(sys.argv[1])
address = sqlite_url(folder / "trainer.sqlite3")
settings = Settings(data_folder=folder, database_url=address, secret_key="a secret that is used in tests only")
app = create_app(settings, Wiring(storage=SqlStorage(Database(address))))
server = make_server("127.0.0.1", 0, app, threaded=True)
print(server.server_port, flush=True)
server.serve_forever()
"""


class Served:
    """The program in a process of its own, which can be killed and started again."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.start()

    def start(self) -> None:
        command = [sys.executable, "-c", SERVER, str(self.folder)]
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
        assert self.process.stdout is not None
        self.port = int(self.process.stdout.readline())

    def kill(self) -> None:
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()
        assert self.process.stdout is not None
        self.process.stdout.close()


@dataclass
class Visitor:
    """A browser of a few lines, whose cookie outlives the server."""

    served: Served
    cookies: dict[str, str] = field(default_factory=dict)

    def ask(self, method: str, path: str, data: dict[str, object] | None = None) -> tuple[int, str, str]:
        headers = {"Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items())}
        if data is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        with closing(http.client.HTTPConnection("127.0.0.1", self.served.port, timeout=PATIENCE_S)) as connection:
            connection.request(method, path, urlencode(data, doseq=True) if data else None, headers)
            answer = connection.getresponse()
            text = answer.read().decode()
        for cookie in answer.headers.get_all("Set-Cookie") or []:
            name, _, rest = cookie.partition("=")
            self.cookies[name] = rest.partition(";")[0]
        return answer.status, text, answer.headers.get("Location") or ""

    def sign_in(self) -> None:
        token = token_in(self.ask("GET", "/sign-in")[1])
        fields = {"csrf_token": token, "name": LEARNER, "password": PASSWORD}
        assert self.ask("POST", "/sign-in", fields)[0] == 303

    def start(self) -> str:
        token = token_in(self.ask("GET", f"/my-papers/{PAPER}")[1])
        status, _, location = self.ask("POST", f"/my-papers/{PAPER}/start", {"csrf_token": token, "number": "1"})
        assert status == 303
        return location


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    database = Database(sqlite_url(tmp_path / "trainer.sqlite3"))
    upgrade(database)
    storage = SqlStorage(database)
    build(storage, COLLEGE)
    furnish(storage, names=(LEARNER,))
    database.close()
    return tmp_path


def stored(folder: Path, table: type) -> list:
    database = Database(sqlite_url(folder / "trainer.sqlite3"))
    with database.reading() as session:
        rows = list(session.scalars(select(table)))
    database.close()
    return rows


def saved_value(folder: Path) -> tuple[int, str]:
    rows = stored(folder, SavedAnswerRow)
    return (rows[0].sequence, json.loads(rows[0].answers_json)["question"]) if rows else (0, "")


@pytest.mark.parametrize("kills", [2, pytest.param(30, marks=pytest.mark.slow)])
def test_no_acknowledged_answer_is_lost_and_nothing_is_graded_twice(folder: Path, kills: int) -> None:
    moments = random.Random(kills)
    served = Served(folder)
    try:
        visitor = Visitor(served)
        visitor.sign_in()
        path = visitor.start()
        hidden = fields_of(visitor.ask("GET", f"{path}/items/2")[1])
        sequence = acknowledged = 0
        for _ in range(kills):
            # Something is acknowledged in each life, however long a busy machine takes for it.
            sequence = acknowledged = _saved(visitor, path, hidden, sequence + 1)
            killer = threading.Timer(moments.uniform(0.0, 0.6), served.kill)
            killer.start()
            sequence, acknowledged = _save_until_it_dies(visitor, path, hidden, sequence, acknowledged)
            killer.join()
            number, value = saved_value(folder)
            assert acknowledged <= number <= sequence
            assert value in ("", f"{number} V")
            served.start()
        assert acknowledged >= kills
        _hand_in_until_it_is_done(visitor, path, moments)
    finally:
        served.kill()
    (sitting,) = stored(folder, SittingRow)
    assert (sitting.state, [row.number for row in stored(folder, GradingRow)]) == ("handed_in", [1])


def _save_until_it_dies(
    visitor: Visitor, path: str, hidden: dict[str, str], sequence: int, acknowledged: int
) -> tuple[int, int]:
    """Saves as fast as it goes; gives the last number that was sent and the last that was called saved."""
    while True:
        sequence += 1
        try:
            acknowledged = _saved(visitor, path, hidden, sequence)
        except (OSError, http.client.HTTPException):
            return sequence, acknowledged


def _saved(visitor: Visitor, path: str, hidden: dict[str, str], sequence: int) -> int:
    """One save; gives its number, which was called saved."""
    fields = {**hidden, "sequence": sequence, "choice-question": f"{sequence}"}
    status, text, _ = visitor.ask("POST", f"{path}/items/2/save", fields)
    assert status == 200, text
    said = json.loads(text)
    assert (said["state"], said["sequence"]) == ("saved", sequence)
    return sequence


def _hand_in_until_it_is_done(visitor: Visitor, path: str, moments: random.Random) -> None:
    """Hands in while the server is killed, and again, as somebody at a page would."""
    token = re.search(r'name="csrf_token" value="([^"]+)"', visitor.ask("GET", path)[1])
    assert token is not None
    killer = threading.Timer(moments.uniform(0.0, 0.3), visitor.served.kill)
    killer.start()
    with suppress(OSError, http.client.HTTPException):
        visitor.ask("POST", f"{path}/hand-in", {"csrf_token": token[1]})
    killer.join()
    visitor.served.start()
    assert visitor.ask("POST", f"{path}/hand-in", {"csrf_token": token[1]})[0] == 303
    # What was cut off between hand-in and marking the command makes up, beside the server.
    database = Database(sqlite_url(visitor.served.folder / "trainer.sqlite3"))
    finishing_over(database).close_due()
    database.close()
