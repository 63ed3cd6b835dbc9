"""The pages of programmes and records as they are seen: by axe-core, by a parser, on a narrow window, on paper.

axe-core: Deque Systems; html5lib: the parsing rules of the WHATWG HTML standard.
"""

from __future__ import annotations

from importlib.resources import files
from typing import TYPE_CHECKING

import html5lib
from flask import Flask

from tests.browser.conftest import led_on
from tests.browser.test_accessibility import SMALL, TARGETS, violations
from tests.web.conftest import serving
from tests.web.people.conftest import PASSWORD
from tests.web.people.conftest import Browser as Client
from tests.web.programmes.conftest import more_people
from tests.web.programmes.test_taking import records, sit
from trainer.persistence.repositories import SqlStorage

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

AXE_CORE = (files("axe_playwright_python") / "axe.min.js").read_text("utf-8")


def pages(programme: str, learner: Client, manager: Client, storage: SqlStorage) -> dict[str, tuple[str, ...]]:
    """Every page by who opens it, with people and a record on them."""
    more_people(storage, 4)
    manager.post(f"{programme}/assign", page=programme)
    sitting_id = sit(learner, storage)
    (record,) = records(storage)
    return {
        "firm-training_manager": (
            "/programmes",
            "/programmes/new",
            programme,
            f"{programme}/change",
            "/programmes/matrix",
            "/programmes/gaps",
            "/programmes/changes",
            "/records",
            f"/records/{record.id}",
        ),
        "firm-learner": (
            "/refreshers",
            f"/refreshers/sittings/{sitting_id}",
            f"/records/{record.id}",
            f"/check/{record.code}",
            "/check/none",
            "/check",
        ),
    }


def sign_in(page: Page, address: str, name: str) -> None:
    page.goto(f"{address}/sign-in")
    page.fill("input[name=name]", name)
    page.fill("input[name=password]", PASSWORD)
    with led_on(page):
        page.click("main form button")


def test_axe_core_finds_nothing_and_pages_fit_a_phone_and_give_room_to_press(
    app: Flask, programme: str, learner: Client, manager: Client, storage: SqlStorage, browser: Browser
) -> None:
    """WCAG 2.2: 1.4.10 Reflow, 2.5.8 Target Size (Minimum)."""
    found: dict[str, object] = {}
    with serving(app) as address:
        for name, paths in pages(programme, learner, manager, storage).items():
            context = browser.new_context(viewport={"width": 390, "height": 800})
            page = context.new_page()
            sign_in(page, address, name)
            for path in paths:
                for width in (320, 390, 1280):
                    page.set_viewport_size({"width": width, "height": 800})
                    page.goto(address + path)
                    wide = page.evaluate("document.documentElement.scrollWidth") > width
                    small = page.eval_on_selector_all(TARGETS, SMALL)
                    wrong = violations(page, AXE_CORE) if width != 320 else []
                    if wide or small or wrong:
                        found[f"{name} {path} {width}"] = (wide, small, wrong)
            context.close()
    assert found == {}


def test_the_matrix_reads_in_black_and_white(
    app: Flask, programme: str, learner: Client, manager: Client, storage: SqlStorage, browser: Browser
) -> None:
    """WCAG 2.2, 1.4.1 Use of Color: every cell has a letter, with its meaning as title and in the legend."""
    pages(programme, learner, manager, storage)
    with serving(app) as address:
        context = browser.new_context(viewport={"width": 1280, "height": 800})
        page = context.new_page()
        sign_in(page, address, "firm-training_manager")
        page.goto(f"{address}/programmes/matrix")
        page.emulate_media(media="print")
        cells = page.locator(".matrix td:not(.is-none) abbr")
        assert {each.strip() for each in cells.all_text_contents()} == {"C", "S"}
        assert all(each.get_attribute("title") for each in cells.all())
        assert page.locator(".legend").is_visible()
        assert not page.locator(".takeaway").is_visible()
        context.close()


def test_every_page_parses_without_an_error(
    programme: str, learner: Client, manager: Client, storage: SqlStorage
) -> None:
    found = {}
    for name, paths in pages(programme, learner, manager, storage).items():
        browser = manager if name == "firm-training_manager" else learner
        for path in paths:
            parser = html5lib.HTMLParser(strict=False)
            parser.parse(browser.get(path).text)
            if parser.errors:
                found[path] = [(place, code) for place, code, _ in parser.errors][:5]
    assert found == {}
