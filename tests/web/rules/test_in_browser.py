"""The rule book on a phone: nothing wider than the screen, tables scroll within themselves."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser

PAGES = (
    "/rules",
    "/rules/OC-02",
    "/rules/RCD-06",
    "/rules/OC-08",
    "/rules/EV-05",
    "/rules/OC-06",
    "/rules/tables",
    "/rules/sources",
    "/rules/not-covered",
    "/rules/editions",
    "/rules/terms",
)


@pytest.mark.parametrize("width", [320, 390, 1280])
def test_no_page_is_wider_than_the_screen(browser: Browser, served: str, width: int) -> None:
    page = browser.new_page(viewport={"width": width, "height": 844})
    for address in PAGES:
        page.goto(served + address)
        page.evaluate("document.querySelectorAll('details').forEach(each => each.open = true)")
        wider = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert wider <= 0, address
    page.close()
