"""The pages of people in a browser: everything reachable, nothing wider than the window, nothing against the policy.

axe-core: Deque Systems, as shipped in the package axe-playwright-python; rules for WCAG 2.0 to 2.2, A and AA.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from importlib.resources import files

import pytest
from flask import Flask
from playwright.sync_api import Browser, Page

from tests.web.conftest import serving
from tests.web.people.conftest import PASSWORD, House
from tests.web.people.world import furnished
from trainer.persistence.repositories import SqlStorage

OPEN_TO_ALL = ("/sign-in", "/join", "/account/new", "/forgotten", "/invitation/no-such-link")
INSIDE = (
    "/account",
    "/account/second-factor",
    "/organisation/people",
    "/organisation/people/new",
    "/organisation/people/college-learner",
    "/organisation/groups",
    "/organisation/groups/college-group",
    "/organisation/roster",
    "/organisation/settings",
    "/organisation/log",
)
WIDER = "document.documentElement.scrollWidth > document.documentElement.clientWidth"


@dataclass
class Window:
    """A page with what its console said."""

    page: Page
    address: str
    said: list[str] = field(default_factory=list)

    def sign_in(self, name: str) -> None:
        self.page.goto(self.address + "/sign-in")
        self.page.get_by_label("Name or mail address").fill(name)
        self.page.get_by_label("Password").fill(PASSWORD)
        self.page.get_by_role("main").get_by_role("button", name="Sign in").click()
        self.page.wait_for_url("**/account*")

    def wrong(self, path: str, axe_core: str) -> list[str]:
        self.page.goto(self.address + path)
        return self.wrong_here(path, axe_core)

    def wrong_here(self, path: str, axe_core: str) -> list[str]:
        found = [f"{path} is wider than the window"] if self.page.evaluate(WIDER) else []
        self.page.evaluate(axe_core)
        answer = self.page.evaluate("axe.run(document, { resultTypes: ['violations'] })")
        return found + [f"{path}: {each['id']} {each['nodes'][0]['target']}" for each in answer["violations"]]


@pytest.fixture(scope="module")
def axe_core() -> str:
    return (files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")


@pytest.fixture
def college(storage: SqlStorage) -> House:
    return furnished(storage, "college")


@pytest.fixture(params=[320, 1280])
def window(app: Flask, college: House, browser: Browser, request: pytest.FixtureRequest) -> Iterator[Window]:
    with serving(app) as address:
        context = browser.new_context(viewport={"width": request.param, "height": 900}, bypass_csp=True)
        window = Window(page=context.new_page(), address=address)
        window.page.on("console", lambda message: window.said.append(message.text))
        yield window
        context.close()


def test_every_page_can_be_read_by_everybody(window: Window, axe_core: str) -> None:
    wrong = [each for path in OPEN_TO_ALL for each in window.wrong(path, axe_core)]
    window.sign_in("college-administrator")
    wrong += [each for path in INSIDE for each in window.wrong(path, axe_core)]
    assert wrong == []


def test_a_group_is_made_and_joined_with_a_keyboard_a_wall_and_no_script(
    app: Flask, college: House, browser: Browser, axe_core: str
) -> None:
    """From the lecturer's first page to a learner in the group, as two people do it; scripts are switched off."""
    with serving(app) as address:
        lecturer = Window(browser.new_context(java_script_enabled=False).new_page(), address)
        lecturer.sign_in("college-lecturer")
        page = lecturer.page
        page.get_by_role("main").get_by_role("link", name="Groups").click()
        page.get_by_label("Name").fill("Tuesday evening")
        page.get_by_label("Name").press("Enter")
        page.get_by_role("button", name="Make a code to join").click()
        code = page.locator(".shown-code").inner_text()
        learner = browser.new_context(java_script_enabled=False).new_page()
        learner.goto(address + "/join")
        learner.get_by_label("Code of the group").fill(code)
        learner.get_by_label("Code of the group").press("Enter")
        learner.get_by_label("Your name, as your group knows it").fill("Ann Lee")
        learner.get_by_label("Name to sign in with").fill("ann.lee")
        learner.get_by_label("Password").fill("violet anchor teapot canyon")
        learner.get_by_role("button", name="Make the account").click()
        assert learner.get_by_text("Tuesday evening").is_visible()
        page.get_by_role("link", name="Back to the group").click()
        assert page.get_by_role("rowheader", name="Ann Lee").is_visible()
        learner.context.close()
        page.context.close()


def test_nothing_on_these_pages_is_against_the_policy(app: Flask, college: House, browser: Browser) -> None:
    """W3C Content Security Policy 3: what the browser blocks it says on the console."""
    with serving(app) as address:
        context = browser.new_context()
        window = Window(context.new_page(), address)
        window.page.on("console", lambda message: window.said.append(message.text))
        window.sign_in("college-administrator")
        for path in INSIDE:
            window.page.goto(address + path)
        context.close()
    assert window.said == []
