"""A firm with roles, sites, people and a programme, and browsers that are signed in."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from tests.web.conftest import NOON
from tests.web.people.conftest import (
    Box,
    Browser,
    Clock,
    House,
    app,
    box,
    browser_of,
    build,
    clock,
    member,
)
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.services.people.records import Place
from trainer.services.people.words import MemberState, Role

__all__ = ["app", "box", "browser_of", "clock"]

Browsers = Callable[..., Browser]

FORM = {
    "title": "Residual current devices",
    "cycle_months": "12",
    "warning_days": "60",
    "first_due_days": "30",
    "pass_percent": "80",
    "critical_errors_fail": "y",
    "items": "3",
    "level": "1",
    "kinds": ["question"],
    "objective-firm-installer": ["LO02", "LO05", "LO10", "LO20"],
    "objective-firm-inspector": ["LO05"],
}


@pytest.fixture
def firm(storage: SqlStorage) -> House:
    """The learner is an installer at the depot; everybody else has no role in the trade."""
    house = build(storage, "firm")
    with storage.scopes(people_repositories).writing() as stored:
        for name in ("installer", "inspector"):
            stored.organisations.add_trade_role(Place(id=f"firm-{name}", organisation_id="firm", name=name.title()))
        for name in ("depot", "yard"):
            stored.organisations.add_site(Place(id=f"firm-{name}", organisation_id="firm", name=name.title()))
        learner = stored.members.get("firm", "firm-learner")
        assert learner is not None
        stored.members.change(
            replace(learner, trade_role_id="firm-installer", site_id="firm-depot", email="learner@example.org")
        )
    return house


@pytest.fixture
def manager(firm: House, browser_of: Browsers) -> Browser:
    return browser_of("firm-training_manager")


@pytest.fixture
def learner(firm: House, browser_of: Browsers) -> Browser:
    return browser_of("firm-learner")


def make(browser: Browser, **more: object) -> str:
    """A programme, made on its page; gives its address."""
    answer = browser.post("/programmes/new", {**FORM, **more}, page="/programmes/new")
    assert answer.status_code == 303, answer.text
    return answer.headers["Location"]


@pytest.fixture
def programme(manager: Browser) -> str:
    """The address of a programme that runs."""
    address = make(manager)
    manager.post(f"{address}/start", page=address)
    return address


def more_people(
    storage: SqlStorage, count: int, role: str = "firm-installer", site: str = "firm-yard", first: int = 0
) -> None:
    """So many more people of the firm, who were not invited yet."""
    with storage.scopes(people_repositories).writing() as stored:
        stored.members.add_many(
            [
                member(
                    f"p{number:05}",
                    "firm",
                    Role.LEARNER,
                    display_name=f"Person {number:05}",
                    state=MemberState.INVITED,
                    trade_role_id=role,
                    site_id=site,
                )
                for number in range(first, first + count)
            ]
        )


__all__ += ["FORM", "NOON", "Box", "Clock", "make", "more_people"]
