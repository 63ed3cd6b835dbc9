"""A site without a mail server keeps its messages: whoever invites is told, so that nobody waits for mail in vain."""

from __future__ import annotations

from pathlib import Path

import pytest
from flask import Flask

from tests.web.conftest import NOON
from tests.web.people.conftest import Box, House
from tests.web.people.world import furnished
from trainer.config import Settings
from trainer.interop.mail import FolderMail
from trainer.persistence.repositories import SqlStorage
from trainer.services.people.mail import MailBox
from trainer.web.app import create_app
from trainer.web.wiring import Wiring

STAYS = "This site sends no mail"


@pytest.fixture(params=["folder", "server"])
def mail(request: pytest.FixtureRequest, tmp_path: Path) -> MailBox:
    if request.param == "server":
        return Box()
    return FolderMail(folder=tmp_path / "mail", sender="a@example.org", now=lambda: NOON, new_id=lambda: "one")


@pytest.fixture
def app(settings: Settings, storage: SqlStorage, mail: MailBox) -> Flask:
    return create_app(settings, Wiring(storage=storage, now=lambda: NOON, mail=mail))


@pytest.fixture
def house(storage: SqlStorage) -> House:
    return furnished(storage, "college")


def test_whoever_invites_is_told_that_the_message_stays_on_the_server(house: House, browser_of, mail: MailBox) -> None:
    administrator = browser_of("college-administrator")
    added = {"display_name": "Canary Lee", "email": "canary@example.org", "roles": ["learner"]}
    page = administrator.post("/organisation/people/new", added, page="/organisation/people/new").headers["Location"]
    answer = administrator.post(f"{page}/invite", page=page)
    told = administrator.get(answer.headers["Location"]).text
    assert (STAYS in told, "is on its way to canary@example.org" in told) == (
        (True, False) if isinstance(mail, FolderMail) else (False, True)
    )
    where = "/organisation/groups/college-group"
    administrator.post(f"{where}/members", {"who": "canary@example.org", "part": "learns"}, page=where)
    assert (STAYS in administrator.post(f"{where}/invite", page=where).text) is isinstance(mail, FolderMail)
