"""The first visit: within a minute, without an account, one real task is answered and explained."""

from __future__ import annotations

import re
from contextlib import nullcontext

from playwright.sync_api import Page

from tests.browser.conftest import Opener, Site, View, led_on

# People read some 238 words a minute, silently, in English (M. Brysbaert, Journal of Memory and Language 109, 2019).
WORDS_A_MINUTE = 238


class Visitor:
    """Somebody who acts; each click is counted, and what stands there to be read."""

    def __init__(self, page: Page) -> None:
        self.page, self.actions, self.words = page, 0, 0

    def clicks(self, selector: str, *, leads_on: bool = True) -> None:
        self.actions += 1
        with led_on(self.page) if leads_on else nullcontext():
            self.page.locator(selector).first.click()

    def reads(self, selector: str) -> None:
        text = " ".join(self.page.locator(selector).all_inner_texts())
        self.words += len(re.findall(r"\w[\w.²°%-]*", text))


def test_three_actions_lead_from_the_first_page_to_an_explanation_that_was_understood(look: Opener, site: Site) -> None:
    page = look(View(width=390))
    page.context.clear_cookies()
    visitor = Visitor(page)
    page.goto(site.address)
    assert page.locator("dialog[open], [aria-modal=true]").count() == 0
    visitor.reads("main h1")
    visitor.clicks("main form button")
    assert page.locator("dialog[open], [aria-modal=true]").count() == 0
    visitor.reads("main h1")
    visitor.reads("main fieldset legend, main fieldset .choice label")
    visitor.clicks("main fieldset .choice input", leads_on=False)
    visitor.clicks("#decisions .button")
    assert "/result/" in page.url
    visitor.reads("main h1, main article p, main article dd")
    assert page.locator("main article p").count() >= 2
    assert page.locator("main h1").inner_text() in ("All right", "Not right")
    assert visitor.actions == 3
    assert visitor.words <= WORDS_A_MINUTE, f"{visitor.words} words to read"
