"""No room where the data lies: reading goes on, what is sent is told not to be saved, and nothing is done by half."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import func, select

from tests.faults.places import NEEDS_ROOT, Place, place
from tests.web.people.conftest import CHEAP, Browser, Clock, build, token_in
from trainer.config import Settings, sqlite_url
from trainer.persistence.database import Database
from trainer.persistence.keeping.checking import checked
from trainer.persistence.models import PageRow
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.schema import upgrade
from trainer.web.app import create_app
from trainer.web.wiring import Wiring


class Room:
    """A site on a small file system, and a browser that is signed in."""

    def __init__(self, where: Place) -> None:
        self.place, self.clock = where, Clock()
        settings = Settings(
            data_folder=where.folder,
            database_url=sqlite_url(where.folder / "trainer.sqlite3"),
            secret_key="a secret that is used in tests only",
        )
        self.database = Database(settings.database_url)
        upgrade(self.database)
        storage = SqlStorage(self.database)
        build(storage, "college")
        app = create_app(settings, Wiring(storage=storage, now=self.clock))
        app.extensions["trainer.desks"].__dict__["hasher"] = CHEAP
        self.browser = Browser(app.test_client())
        assert self.browser.sign_in("college-learner").status_code == 303

    def pages(self) -> int:
        with self.database.reading() as session:
            return session.scalar(select(func.count()).select_from(PageRow)) or 0

    def practise(self):
        return self.browser.post("/practise", {"kind": "question", "level": "1"}, page="/practise")


@pytest.fixture
def room(tmp_path: Path) -> Iterator[Room]:
    with place(tmp_path / "small", "8m") as where:
        if not where.is_small:
            pytest.skip(NEEDS_ROOT)
        made = Room(where)
        yield made
        made.database.close()


def filled(room: Room) -> None:
    """The log of SQLite may still have room in itself: it is used up as well."""
    room.place.fill()
    for _ in range(500):
        if room.practise().status_code == 507:
            return
    pytest.fail("the disk is full, and tasks are made all the same")


def test_what_is_sent_to_a_full_disk_is_told_not_to_be_saved(room: Room) -> None:
    """RFC 4918, 11.5: 507 where the server cannot store what it needs to."""
    filled(room)
    before = room.pages()
    answer = room.practise()
    assert answer.status_code == 507
    assert "Not saved: there is no room left" in " ".join(answer.text.split())
    assert room.pages() == before


def test_reading_goes_on_though_the_session_can_no_longer_be_noted(room: Room) -> None:
    filled(room)
    room.clock.pass_by(timedelta(hours=1))
    for path in ("/account", "/my-papers", "/rules", "/practise"):
        assert room.browser.get(path).status_code == 200, path


def test_with_room_again_everything_goes_on_and_is_whole(room: Room) -> None:
    filled(room)
    token = token_in(room.browser.get("/practise").text)
    room.place.empty()
    answer = room.browser.client.post("/practise", data={"csrf_token": token, "kind": "question", "level": "1"})
    assert answer.status_code == 303
    assert room.browser.get(answer.headers["Location"]).status_code == 200
    assert [each for each in checked(room.database) if each.problems] == []
