"""The bench in a real browser: with script it answers as its fields change, also for a pasted installation."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import led_on
from trainer.resources import folder


@pytest.fixture
def page(browser: Browser):
    opened = browser.new_page()
    told: list[str] = []
    opened.on("console", lambda message: told.append(message.text))
    yield opened
    opened.close()
    assert told == []


def test_a_changed_field_renews_the_answer_in_place(page: Page, served: str) -> None:
    page.goto(f"{served}/try")
    assert "81.676" in page.inner_text("[data-live-part=answer]")
    page.fill("#to", "50")
    page.locator("#to").blur()
    page.wait_for_url("**to=50**")
    assert "Nothing changes over these values." in page.inner_text("[data-live-part=answer]")


def test_another_value_brings_the_fields_that_suit_it(page: Page, served: str) -> None:
    page.goto(f"{served}/try")
    with led_on(page):
        page.select_option("#path", "supply.earthing_system")
    assert page.locator("input[type=checkbox][value=TT]").count() == 1
    assert "Earthing system of the supply moved over TN-S, TN-C-S, TT" in page.inner_text("[data-live-part=answer]")


def test_a_pasted_installation_stays_while_its_value_moves(page: Page, served: str) -> None:
    page.goto(f"{served}/try")
    page.click("summary:has-text('One written by hand')")
    page.fill("#text", (folder("scenarios") / "examples" / "workshop-leakage-sum.toml").read_text("utf-8"))
    with led_on(page):
        page.click("text=Take what is written")
    with led_on(page):
        page.select_option("#path", "equipment.extractor.protective_conductor_current_ma")
    expect(page.locator("p.moved")).to_contain_text("Protective conductor current")
    page.fill("#from", "0.5")
    page.locator("#from").blur()
    expect(page.locator("[data-live-part=answer]")).to_contain_text("moved over 0.5")
    # 30 % of 30 mA less the 8 mA of the two other machines: hand calculation.
    assert "up to 1\u00a0mA" in page.inner_text("[data-live-part=answer]")
    assert page.url.endswith("/try")


@pytest.mark.parametrize("width", [390, 1280])
def test_nothing_is_wider_than_the_screen(browser: Browser, served: str, width: int) -> None:
    page = browser.new_page(viewport={"width": width, "height": 900})
    for query in ("", "?path=circuits.kitchen.cable.cross_section_mm2", "?path=devices.way7.rcd_type&rule=RCD-06"):
        page.goto(f"{served}/try{query}")
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.close()
