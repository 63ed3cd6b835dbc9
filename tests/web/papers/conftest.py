"""A college with a group that a lecturer teaches, and a second lecturer without."""

from __future__ import annotations

import pytest
from flask import Flask

from tests.web.conftest import NOON
from tests.web.papers.after import RIGHT, id_of
from tests.web.papers.sitters import sat
from tests.web.people.conftest import (
    Box,
    Browser,
    Clock,
    House,
    app,  # noqa: F401 - fixtures that pytest finds by name
    box,  # noqa: F401
    browser_of,  # noqa: F401
    build,
    clock,  # noqa: F401
    member,
    person,
)
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.services.papers import making
from trainer.services.people.records import Group, GroupPlace
from trainer.services.people.words import GroupPart, Role
from trainer.web.papers.background import SWITCH

__all__ = ["Box", "Browser", "Clock"]

LEARNERS = 4
SPARE = 1


@pytest.fixture
def drawn_at_once(app: Flask, monkeypatch: pytest.MonkeyPatch) -> None:  # noqa: F811
    app.config[SWITCH] = False
    # Drawing takes long, and what is spare is the same for every test.
    monkeypatch.setattr(making, "SPARE_VARIANTS", SPARE)


@pytest.fixture
def college(storage: SqlStorage) -> House:
    """``college-lecturer`` teaches ``class`` with ``learner-1`` and on; the lecturer ``other`` teaches nobody."""
    house = build(storage, "college")
    with storage.scopes(people_repositories).writing() as stored:
        stored.groups.add(Group(id="class", organisation_id="college", name="Class", created_at=NOON))
        stored.people.add(person("other"))
        stored.members.add(member("other", "college", Role.LECTURER, person_id="other"))
        places = [("college-lecturer", GroupPart.TEACHES)]
        for number in range(1, LEARNERS + 1):
            name = f"learner-{number}"
            stored.people.add(person(name))
            stored.members.add(member(name, "college", Role.LEARNER, person_id=name))
            places.append((name, GroupPart.LEARNS))
        stored.groups.put(
            [
                GroupPlace(group_id="class", member_id=name, organisation_id="college", part=part, joined_at=NOON)
                for name, part in places
            ]
        )
    return house


@pytest.fixture
def lecturer(college: House, browser_of, drawn_at_once: None) -> Browser:  # noqa: F811
    return browser_of("college-lecturer")


SETTINGS = {
    "title": "Protection, first paper",
    "group_ids": "class",
    "mode": "graded",
    "attempts_allowed": "1",
    "release_policy": "by_hand",
    "time_limit_min": "60",
}
TASKS = {
    "slots": "2",
    "slot-1-kind": "choose",
    "slot-1-level": "1",
    "slot-1-objective": "LO02",
    "slot-1-count": "1",
    "slot-1-marks": "10",
    "slot-2-kind": "question",
    "slot-2-level": "2",
    "slot-2-objective": "LO02",
    "slot-2-count": "2",
    "slot-2-marks": "2",
    "do": "save",
}


def made(browser: Browser, **settings: str) -> str:
    """The address of a new draft."""
    answer = browser.post("/papers/new", {**SETTINGS, **settings}, page="/papers/new")
    assert answer.status_code == 303, answer.text
    return answer.headers["Location"].removesuffix("/tasks")


def with_tasks(browser: Browser, address: str, **tasks: str) -> None:
    answer = browser.post(f"{address}/tasks", {**TASKS, "revision": "1", **tasks}, page="/papers/new")
    assert answer.status_code == 303, answer.text


def moved(browser: Browser, address: str, to: str, revision: int):
    return browser.post(f"{address}/state", {"to": to, "revision": str(revision)}, page="/papers/new")


@pytest.fixture
def closed(lecturer: Browser, app: Flask, storage: SqlStorage) -> str:  # noqa: F811
    """The address of a paper that four have sat."""
    address = made(lecturer, pass_percent="60")
    with_tasks(lecturer, address)
    moved(lecturer, address, "locked", 2)
    moved(lecturer, address, "open", 3)
    for name, (right, _) in RIGHT.items():
        sat(app, storage, id_of(address), name, right)
    assert moved(lecturer, address, "closed", 4).status_code == 303
    return address
