"""Cards of terms, hints and single keys in a browser."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Opener, Site, View, led_on


def test_a_term_opens_its_card_by_keyboard_and_escape_closes_it(look: Opener, site: Site) -> None:
    page = look(View(width=390))
    page.goto(site.of("note with a sum"))
    button = page.locator("button.term").first
    card = page.locator(f"#{button.get_attribute('popovertarget')}")
    expect(card).to_be_hidden()
    button.focus()
    page.keyboard.press("Enter")
    expect(card).to_be_visible()
    page.keyboard.press("Escape")
    expect(card).to_be_hidden()


def test_without_script_a_term_opens_its_card_all_the_same(look: Opener, site: Site) -> None:
    page = look(View(width=1280, script=False))
    page.goto(site.of("note with a sum"))
    button = page.locator("button.term").first
    button.click()
    expect(page.locator(f"#{button.get_attribute('popovertarget')}")).to_be_visible()


def test_single_keys_do_nothing_until_they_are_switched_on(look: Opener, site: Site) -> None:
    """WCAG 2.2, 2.1.4 Character Key Shortcuts: they can be turned off, and are."""
    page = look(View(width=1280))
    page.goto(site.of("question"))
    page.keyboard.press("h")
    assert page.evaluate("document.activeElement.tagName") == "BODY"
    page.goto(site.address + "/plan/shortcuts")
    page.get_by_role("button", name="Switch them on").click()
    page.goto(site.of("question"))
    page.keyboard.press("h")
    assert page.evaluate("document.activeElement.textContent.trim()") == "Hand in"
    assert "/result/" not in page.url


@pytest.mark.parametrize("script", [True, False])
def test_enter_in_a_field_hands_in_and_takes_no_hint(look: Opener, site: Site, *, script: bool) -> None:
    page = look(View(width=390, script=script))
    page.goto(site.address + "/notes/LO05")
    with led_on(page):
        page.locator("#practise ~ * form button, #practise + * form button").first.click()
    page.locator("#decisions input[inputmode=decimal]").fill("1 V")
    page.keyboard.press("Enter")
    page.wait_for_url("**/result/**")
