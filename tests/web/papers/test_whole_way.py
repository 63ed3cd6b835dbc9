"""From an empty database to released marks: a lecturer in a browser, thirty learners over HTTP, every action counted.

An action is one click, or one field filled or chosen.
"""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from flask import Flask
from lxml import html
from playwright.sync_api import expect
from werkzeug.datastructures import MultiDict

from tests.browser.test_accessibility import violations
from tests.patience import PATIENCE_S
from tests.web.conftest import serving
from tests.web.people.conftest import CHEAP, PASSWORD, token_in
from tests.web.taking import running
from trainer.cli.serving import rounds_over
from trainer.config import Settings
from trainer.persistence.papers.repositories import paper_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.services.people.organisations import OrganisationsDesk
from trainer.services.people.records import Person
from trainer.services.people.words import OrganisationKind
from trainer.web.app import create_app
from trainer.web.present import Desks
from trainer.web.wiring import Wiring

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

AXE_CORE = (files("axe_playwright_python") / "axe.min.js").read_text("utf-8")
LEARNERS = 30
MOST_ACTIONS = 40
TEN_MINUTES_S = 600
TASKS = 5


class Hand:
    """A page that counts what is done on it, and looks for no longer than a person would."""

    def __init__(self, page: Page, pictures: Path) -> None:
        self.page = page
        self.actions = 0
        self._pictures = pictures

    def press(self, name: str) -> None:
        """One click on a button or link."""
        self.actions += 1
        found = self.page.get_by_role("button", name=name, exact=True).or_(
            self.page.get_by_role("link", name=name, exact=True)
        )
        found.first.click()

    def fill(self, label: str, text: str, place: int = 0) -> None:
        """One field filled."""
        self.actions += 1
        self.page.get_by_label(label, exact=True).nth(place).fill(text)

    def choose(self, label: str, option: str, place: int = 0) -> None:
        """One option chosen."""
        self.actions += 1
        self.page.get_by_label(label, exact=True).nth(place).select_option(option)

    def look(self, name: str) -> None:
        """Pictures for whoever wants to see the page, its width, and what axe-core (Deque Systems) finds; no action."""
        for width in (390, 1280):
            self.page.set_viewport_size({"width": width, "height": 900})
            # On a busy machine the page before may still be leaving: its document has no element for a moment. A
            # locator waits for one; the page's own policy forbids `wait_for_function`, which evaluates text to wait.
            self.page.wait_for_load_state()
            assert self.page.locator("html").evaluate("root => root.scrollWidth") <= width, f"{name} at {width}"
            assert violations(self.page, AXE_CORE) == [], name
            self.page.screenshot(path=self._pictures / f"{name}-{width}.png", full_page=True)


@pytest.fixture
def app(settings: Settings, storage: SqlStorage) -> Flask:
    made = create_app(settings, Wiring(storage=storage))
    desks = made.extensions["trainer.desks"]
    assert isinstance(desks, Desks)
    desks.__dict__["hasher"] = CHEAP
    return made


@pytest.fixture
def runner(app: Flask, settings: Settings, storage: SqlStorage) -> Iterator[None]:
    """The job runner that a server starts beside itself; here a thread of the same process."""
    stop = threading.Event()
    go = running(app, storage, app.extensions["trainer"].now, stop)
    rounds = rounds_over(settings, storage.database, name="the one")

    def work() -> None:
        while not stop.wait(0.5):
            rounds.go()
            go()

    thread = threading.Thread(target=work, daemon=True)
    thread.start()
    yield
    stop.set()
    thread.join()


@pytest.fixture
def hand(app: Flask, browser: Browser, tmp_path: Path, runner: None) -> Iterator[Hand]:
    with serving(app) as address:
        context = browser.new_context(base_url=address, locale="en-GB")
        yield Hand(context.new_page(), tmp_path)
        context.close()


def invitation(app: Flask) -> str:
    """What the operator of the site hands over: the first step of a college."""
    operator = Person(
        id="operator", sign_in_name="operator", email=None, display_name="Operator", password_hash=None,
        password_changed_at=None, is_operator=True, learner_id=None, created_at=_now(app),
    )  # fmt: skip
    desk = app.extensions["trainer.desks"].make(OrganisationsDesk)
    with desk.storage.writing() as stored:
        stored.people.add(operator)
    _, issued = desk.make(
        operator, name="An invented college", kind=OrganisationKind.COLLEGE, administrator="Alex Invented", email="",
        staff_need_second_factor=False,
    )  # fmt: skip
    return f"/invitation/{issued.token}"


def _now(app: Flask):
    return app.extensions["trainer"].now()


@pytest.mark.slow
def test_a_group_of_thirty_sits_a_paper_and_has_its_marks(
    hand: Hand, app: Flask, storage: SqlStorage, capsys: pytest.CaptureFixture[str]
) -> None:
    # Of a processor: what else the machine does meanwhile is not ours.
    began = time.process_time()
    code = a_group_made(hand, invitation(app))
    with ThreadPoolExecutor(4) as pool:
        clients = list(pool.map(lambda number: joined(app, code, number), range(LEARNERS)))
    paper_id = a_paper_set(hand)
    with ThreadPoolExecutor(4) as pool:
        list(pool.map(lambda pair: sits(pair[1], paper_id, pair[0]), enumerate(clients)))
    its_marks_released(hand)
    took_s = time.process_time() - began
    with storage.scopes(paper_repositories).reading() as stored:
        paper = stored.papers.all(_organisation(storage))[0].paper
        lines = stored.sittings.lines(paper.organisation_id, paper_id)
    assert paper.state == "released"
    assert {each.marks_available for each in lines} == {4 * 2 + 10}
    assert len({each.variant for each in lines}) == LEARNERS
    assert "/result" in clients[0].get("/my-papers").text
    with capsys.disabled():
        sys.stdout.write(f"\n{hand.actions} actions of the lecturer, {took_s:.0f} s of a processor\n")
    assert hand.actions <= MOST_ACTIONS
    assert took_s < TEN_MINUTES_S


def a_group_made(hand: Hand, invited: str) -> str:
    """The invitation taken up and a group made; gives the code that stands on the wall."""
    hand.page.goto(invited)
    hand.fill("Name to sign in with", "alex")
    hand.fill("Password", PASSWORD)
    hand.press("Make the account")
    hand.page.goto("/organisation/groups")
    hand.actions += 1
    hand.fill("Name", "First year")
    hand.press("Make the group")
    hand.press("Make a code to join")
    return hand.page.locator(".shown-code").inner_text()


def a_paper_set(hand: Hand) -> str:
    """A paper made, looked at, locked and opened; gives its id."""
    hand.press("Papers")
    hand.press("A new paper")
    hand.fill("Title", "Residual current devices")
    hand.fill("Time limit in minutes", "30")
    hand.look("settings")
    hand.press("Make the draft")
    hand.choose("Kind of task", "question")
    hand.choose("Objective", "LO02")
    hand.fill("How many", "4")
    hand.fill("Marks for each", "2")
    hand.press("Another part")
    hand.choose("Level", "1", place=1)
    hand.choose("Objective", "LO02", place=1)
    hand.look("tasks")
    hand.press("Save")
    hand.look("draft")
    hand.press("Look at a variant with its key")
    hand.look("preview")
    hand.press("Back to the paper")
    hand.press("Lock the paper")
    hand.look("locked")
    # The page looks by itself; without script "Look again" does.
    look_again = hand.page.get_by_role("link", name="Look again", exact=True)
    expect(look_again).to_have_count(0, timeout=1000 * PATIENCE_S)
    hand.press("Open it now")
    return hand.page.url.rpartition("/")[2]


def its_marks_released(hand: Hand) -> None:
    """The sitting watched, closed, its marks and figures looked at, settled and released."""
    hand.press("Who is sitting")
    hand.look("live")
    assert hand.page.get_by_role("cell", name="handed in", exact=True).count() == LEARNERS
    hand.press("Residual current devices")
    hand.press("Close it")
    hand.press("Look at the marks")
    hand.look("marks")
    hand.page.locator("tbody a").first.click()
    hand.actions += 1
    hand.look("sitting")
    hand.press("Figures")
    hand.look("figures")
    hand.press("Objectives")
    hand.look("objectives")
    hand.press("Residual current devices")
    hand.press("The marks are settled")
    hand.press("Release the marks")
    hand.look("released")


def _organisation(storage: SqlStorage) -> str:
    from trainer.persistence.people.repositories import people_repositories

    with storage.scopes(people_repositories).reading() as stored:
        return stored.organisations.by_name("", limit=1)[0].id


def joined(app: Flask, code: str, number: int):
    """A learner who types the code off the wall and makes an account."""
    client = app.test_client()
    page = client.get(f"/account/new?code={code.replace('-', '')}").text
    form = html.fromstring(page).forms[-1]
    data = dict(form.form_values()) | {
        "csrf_token": token_in(page),
        "display_name": f"Learner {number + 1}",
        "sign_in_name": f"learner-{number + 1}",
        "password": PASSWORD,
    }
    answer = client.post("/account/new", data=data)
    assert answer.status_code == 303, answer.text
    return client


def sits(client, paper_id: str, number: int) -> None:
    """A learner who starts, answers every task with what stands at a place, and hands in."""
    form = form_of(client.get(f"/my-papers/{paper_id}").text)
    begun = client.post(form.action, data=dict(form.form_values()))
    assert begun.status_code == 303, begun.text
    sitting = begun.headers["Location"].split("/")[2]
    for position in range(1, TASKS + 1):
        page = client.get(f"/sittings/{sitting}/items/{position}").text
        form = next(each for each in html.fromstring(page).forms if each.get("id") == "decisions")
        chosen = list(answers(form, number + position))
        hidden = [pair for pair in form.form_values() if pair[0] not in dict(chosen)]
        kept = client.post(form.action, data=MultiDict([*hidden, *chosen, ("go", "save")]))
        assert kept.status_code == 303, kept.text
    review = form_of(client.get(f"/sittings/{sitting}").text)
    assert client.post(review.action, data=dict(review.form_values())).status_code == 303


def form_of(page: str):
    """The last form of a page: the one that its button belongs to."""
    return html.fromstring(page).forms[-1]


def answers(form, number: int) -> Iterator[tuple[str, str]]:
    """Something in every field of a task; which of the choices is decided by the number."""
    radios: dict[str, list[str]] = {}
    for each in form.xpath(".//input[@type='radio']"):
        if each.get("name").startswith("choice-"):
            radios.setdefault(each.get("name"), []).append(each.get("value"))
    yield from ((name, values[number % len(values)]) for name, values in radios.items())
    for name in dict.fromkeys(each.get("name") for each in form.xpath(".//input[@type='checkbox']")):
        yield name, form.xpath(f".//input[@name='{name}']")[0].get("value")
    for each in form.xpath(".//input[@inputmode='decimal']"):
        yield each.get("name"), str(number)
    places = form.xpath(".//select[starts-with(@name, 'place-')]")
    for place, each in enumerate(places, start=1):
        options = [one for one in each.value_options if one]
        yield each.get("name"), options[place % len(options) - 1]
