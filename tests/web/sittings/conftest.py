"""A college with a paper for its learner, and browsers signed in as its people."""

from __future__ import annotations

import re

import pytest

from tests.services.sittings.world import COLLEGE, World, furnish
from tests.web.people.conftest import Browser, Clock, app, box, browser_of, build, clock  # noqa: F401 - fixtures
from trainer.persistence.repositories import SqlStorage

LEARNER, LECTURER = "college-learner", "college-lecturer"


@pytest.fixture
def world(storage: SqlStorage, clock: Clock) -> World:  # noqa: F811 - the fixture
    build(storage, COLLEGE)
    furnish(storage, names=(LEARNER, "bob"))
    return World(storage, clock=clock)


@pytest.fixture
def learner(world: World, browser_of) -> Browser:  # noqa: F811 - the fixture
    return browser_of(LEARNER)


def start(browser: Browser, **fields: object) -> str:
    """Starts the paper; gives the path of the sitting."""
    answer = browser.post("/my-papers/paper/start", {"number": "1", **fields}, page="/join")
    assert answer.status_code == 303, answer.text
    return answer.headers["Location"]


def fields_of(page: str) -> dict[str, str]:
    """The hidden fields of the form of an item."""
    form = page[page.index('id="decisions"') :]
    return dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', form)[:4])
