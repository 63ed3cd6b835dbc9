"""The bench in a real browser: with script it answers as its fields change, also for a pasted installation."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Page

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
    page.select_option("#path", "supply.earthing_system")
    page.wait_for_selector("input[type=checkbox][value=TT]")
    assert "Earthing system of the supply moved over TN-S, TN-C-S, TT" in page.inner_text("[data-live-part=answer]")


def test_a_pasted_installation_stays_while_its_value_moves(page: Page, served: str) -> None:
    page.goto(f"{served}/try")
    page.click("summary:has-text('One written by hand')")
    page.fill("#text", (folder("scenarios") / "examples" / "workshop-leakage-sum.toml").read_text("utf-8"))
    page.click("text=Take what is written")
    page.select_option("#path", "equipment.extractor.protective_conductor_current_ma")
    page.wait_for_selector("p.moved:has-text('protective conductor current')")
    page.fill("#from", "0.5")
    with page.expect_response("**/try"):
        page.locator("#from").blur()
    page.wait_for_selector("text=moved over 0.5")
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
