"""A sitting whose connection breaks: nothing that the browser shows instead takes the place of the answers."""

from __future__ import annotations

import re

from playwright.sync_api import expect

from tests.browser.test_sitting import SAVED, Room, room

__all__ = ["room"]
NOT_YET = re.compile("^Not saved yet")


def test_going_on_without_network_stays_on_the_page_and_goes_on_when_it_is_back(room: Room) -> None:
    page = room.device()
    page.goto(f"{room.started(page)}/items/1")
    page.context.set_offline(True)
    page.locator("fieldset input[type=radio]").first.check()
    expect(page.locator("#save-state")).to_have_text(NOT_YET)
    page.get_by_role("button", name="Save, next task").click()
    expect(page.locator("#save-state")).to_have_text(NOT_YET)
    assert page.url.endswith("/items/1")
    assert page.locator("fieldset input[type=radio]").first.is_checked()
    page.context.set_offline(False)
    expect(page.locator("#save-state")).to_have_text(SAVED, timeout=20_000)
    page.get_by_role("button", name="Save, next task").click()
    page.wait_for_url("**/items/2")


def test_going_on_before_anything_was_changed_is_held_too(room: Room) -> None:
    page = room.device()
    page.goto(f"{room.started(page)}/items/1")
    page.context.set_offline(True)
    page.get_by_role("button", name="Save, next task").click()
    expect(page.locator("#save-state")).to_have_text(NOT_YET)
    page.context.set_offline(False)
    expect(page.locator("#save-state")).to_have_text(SAVED, timeout=20_000)
    page.get_by_role("button", name="Save, next task").click()
    page.wait_for_url("**/items/2")
