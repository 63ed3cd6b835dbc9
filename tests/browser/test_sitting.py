"""A sitting in a real browser: what is saved, what is said when it cannot be, the clock, and an independent checker."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.conftest import led_on
from tests.browser.test_accessibility import violations
from tests.services.sittings.world import COLLEGE, PAPER, World, arrange, furnish
from tests.web.conftest import serving
from tests.web.people.conftest import PASSWORD, Clock, build
from trainer.config import Settings, sqlite_url
from trainer.persistence.database import Database
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.schema import upgrade
from trainer.services.papers.words import PaperState
from trainer.web.app import create_app
from trainer.web.wiring import Wiring

LEARNER = "college-learner"
SAVED = re.compile(r"^saved \d\d:\d\d$")


@dataclass
class Room:
    """The served program, its clock, and devices that are signed in as the learner."""

    address: str
    world: World
    browser: Browser
    contexts: list[BrowserContext] = field(default_factory=list)

    def device(self, width: int = 1280) -> Page:
        state = self.contexts[0].storage_state() if self.contexts else None
        context = self.browser.new_context(viewport={"width": width, "height": 800}, storage_state=state)
        self.contexts.append(context)
        page = context.new_page()
        if state is None:
            page.goto(f"{self.address}/sign-in")
            page.fill("[name=name]", LEARNER)
            page.fill("[name=password]", PASSWORD)
            with led_on(page):
                page.click("main form button")
        return page

    def started(self, page: Page) -> str:
        page.goto(f"{self.address}/my-papers/{PAPER}")
        with led_on(page):
            page.click("text=Start: the clock runs from now")
        return page.url


@pytest.fixture
def room(browser: Browser, tmp_path: Path) -> Iterator[Room]:
    settings = Settings(
        data_folder=tmp_path,
        database_url=sqlite_url(tmp_path / "trainer.sqlite3"),
        secret_key="a secret that is used in tests only",
    )
    database = Database(settings.database_url)
    upgrade(database)
    storage = SqlStorage(database)
    build(storage, COLLEGE)
    furnish(storage, names=(LEARNER,))
    clock = Clock()
    with serving(create_app(settings, Wiring(storage=storage, now=clock))) as address:
        made = Room(address, World(storage, clock=clock), browser)
        yield made
        for context in made.contexts:
            context.close()
    database.close()


def test_a_choice_made_with_the_keyboard_alone_is_saved_at_once(room: Room) -> None:
    page = room.device()
    page.goto(f"{room.started(page)}/items/1")
    expect(page.locator("#save-state")).to_have_text("nothing saved yet")
    page.focus("fieldset input[type=radio]")
    page.keyboard.press("Space")
    expect(page.locator("#save-state")).to_have_text(SAVED)
    page.reload()
    assert page.locator("fieldset input[type=radio]").first.is_checked()


def test_papers_are_searched_and_marked_in_the_window_and_nothing_of_it_is_sent(room: Room) -> None:
    page = room.device()
    page.goto(f"{room.started(page)}/items/1")
    sent: list[str] = []
    page.on("request", lambda request: sent.append(request.url) if request.method != "GET" else None)
    page.get_by_role("searchbox", name="Search in the papers").fill("fuse SERVICE")
    expect(page.locator("#found-count")).to_have_text("1 line holds this:")
    assert {each.lower() for each in page.locator("#papers mark").all_inner_texts()} == {"service", "fuse"}
    page.locator("#found a").click()
    expect(page.locator(".line:target th")).to_have_text("Service fuse")
    page.get_by_role("button", name="Mark: Service fuse").press("Enter")
    expect(page.locator("#marked a")).to_have_text("Service fuse")
    expect(page.locator("#save-state")).to_have_text("nothing saved yet")
    assert sent == []
    page.reload()
    expect(page.locator("#marked a")).to_have_text("Service fuse")
    page.get_by_role("button", name="Mark: Service fuse").click()
    expect(page.locator("#marked")).to_be_hidden()


def test_without_script_there_is_no_search_that_would_leave_the_answers_behind(room: Room) -> None:
    item = f"{room.started(room.device())}/items/1"
    state = room.contexts[0].storage_state()
    room.contexts.append(room.browser.new_context(java_script_enabled=False, storage_state=state))
    page = room.contexts[-1].new_page()
    page.goto(item)
    expect(page.locator("#papers h3").first).to_be_visible()
    expect(page.get_by_role("searchbox")).to_have_count(0)
    assert page.locator(".pin").count() == 0


def test_without_network_it_is_said_and_what_was_typed_goes_out_later(room: Room) -> None:
    page = room.device()
    page.goto(f"{room.started(page)}/items/2")
    page.context.set_offline(True)
    page.fill("[name=choice-question]", "41")
    expect(page.locator("#save-state")).to_contain_text("Not saved yet: no answer from the server")
    page.context.set_offline(False)
    expect(page.locator("#save-state")).to_have_text(SAVED)
    page.reload()
    expect(page.locator("[name=choice-question]")).to_have_value("41 V")


@pytest.mark.parametrize("status", [503, 507])
def test_a_server_without_room_or_data_is_told_as_not_saved_and_it_goes_out_later(room: Room, status: int) -> None:
    """RFC 9110, 15.6.4, and RFC 4918, 11.5: what a full disk and a database out of reach are answered with."""
    page = room.device()
    page.goto(f"{room.started(page)}/items/2")
    page.route("**/save", lambda route: route.fulfill(status=status, body="a page"))
    page.fill("[name=choice-question]", "41")
    expect(page.locator("#save-state")).to_contain_text("Not saved yet")
    page.unroute("**/save")
    expect(page.locator("#save-state")).to_have_text(SAVED)
    page.reload()
    expect(page.locator("[name=choice-question]")).to_have_value("41 V")


def test_the_older_of_two_devices_is_told_and_can_load_what_stands_there(room: Room) -> None:
    desk = room.device()
    item = f"{room.started(desk)}/items/2"
    desk.goto(item)
    phone = room.device(390)
    phone.goto(item)
    phone.fill("[name=choice-question]", "42")
    expect(phone.locator("#save-state")).to_have_text(SAVED)
    desk.fill("[name=choice-question]", "43")
    expect(desk.locator("#save-state")).to_contain_text("another page or device")
    desk.click("text=Load what stands there now")
    expect(desk.locator("[name=choice-question]")).to_have_value("42 V")


def test_what_is_typed_just_before_going_on_is_kept(room: Room) -> None:
    page = room.device()
    sitting = room.started(page)
    page.goto(f"{sitting}/items/2")
    page.fill("[name=choice-question]", "7")
    page.click("text=Save, next task")
    expect(page).to_have_url(f"{sitting}/items/3")
    page.goto(f"{sitting}/items/2")
    expect(page.locator("[name=choice-question]")).to_have_value("7 V")


def test_going_on_while_a_save_is_on_its_way_asks_nothing_and_keeps_the_choice(room: Room) -> None:
    page = room.device()
    sitting = room.started(page)
    page.goto(f"{sitting}/items/1")
    asked: list[str] = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.dismiss()))
    page.route("**/save", lambda route: (page.wait_for_timeout(300), route.continue_()))
    page.locator("#decisions label").first.click()
    page.click("text=Save, next task")
    expect(page).to_have_url(f"{sitting}/items/2")
    assert asked == []
    page.goto(f"{sitting}/items/1")
    assert page.locator("fieldset input[type=radio]").first.is_checked()


def test_whoever_was_signed_out_signs_in_elsewhere_and_the_page_saves_by_itself(room: Room) -> None:
    page = room.device()
    item = f"{room.started(page)}/items/2"
    page.goto(item)
    # An answer that is still on its way would hand the cookie back.
    page.wait_for_load_state("networkidle")
    page.context.clear_cookies()
    page.fill("[name=choice-question]", "12")
    expect(page.locator("#save-state")).to_contain_text("you are signed out")
    other = page.context.new_page()
    other.goto(f"{room.address}/sign-in")
    other.fill("[name=name]", LEARNER)
    other.fill("[name=password]", PASSWORD)
    with led_on(other):
        other.click("main form button")
    expect(page.locator("#save-state")).to_have_text(SAVED)
    page.reload()
    expect(page.locator("[name=choice-question]")).to_have_value("12 V")


def test_five_minutes_before_the_end_it_is_said_without_taking_the_focus(room: Room) -> None:
    page = room.device()
    sitting = room.started(page)
    room.world.clock.pass_by(timedelta(minutes=54, seconds=58))
    page.goto(f"{sitting}/items/2")
    page.focus("[name=choice-question]")
    expect(page.locator("#time-warning")).to_have_text("Five minutes left.")
    assert page.evaluate("document.activeElement.name") == "choice-question"
    assert page.locator("#time-warning").get_attribute("role") == "status"


@pytest.mark.parametrize("width", [390, 1280])
def test_the_checker_finds_nothing_on_the_pages_of_a_sitting(room: Room, axe_core: str, width: int) -> None:
    """axe-core: Deque Systems, as its package ships it."""
    arrange(room.world.storage, LEARNER, extra_time_percent=25, rest_breaks_s=600, larger_text=width == 390)
    page = room.device(width)
    found: dict[str, list[str]] = {}

    def check(path: str) -> None:
        page.goto(path)
        if wrong := violations(page, axe_core):
            found[path] = wrong
        assert page.evaluate("document.documentElement.scrollWidth") <= width, path

    check(f"{room.address}/my-papers")
    check(f"{room.address}/my-papers/{PAPER}")
    sitting = room.started(page)
    for position in range(1, 5):
        check(f"{sitting}/items/{position}")
    page.goto(f"{sitting}/items/2")
    with led_on(page):
        page.click("text=Rest break: stop the clock")
    check(sitting)
    with led_on(page):
        page.click("main button")
    check(sitting)
    with led_on(page):
        page.click("text=Hand in with")
    check(f"{sitting}/result")
    room.world.set_paper(state=PaperState.RELEASED.value)
    for path in ("result", "result/1", "result/2", "result/4"):
        check(f"{sitting}/{path}")
    assert found == {}
