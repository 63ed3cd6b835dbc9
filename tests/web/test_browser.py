"""The pages in a real browser."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser

PAGES = ("/", "/about", "/no-such-page")
# The narrowest width that WCAG 2.2, 1.4.10 Reflow asks for, a phone, a projector.
WIDTHS = (320, 390, 1280)


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_pages_fit_their_width_and_break_no_policy(browser: Browser, served: str, width: int, scheme: str) -> None:
    context = browser.new_context(viewport={"width": width, "height": 800}, color_scheme=scheme)
    page = context.new_page()
    messages: list[str] = []
    hosts: set[str] = set()
    page.on("console", lambda message: messages.append(message.text))
    page.on("request", lambda request: hosts.add(request.url.split("/")[2]))
    for address in PAGES:
        page.goto(served + address)
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    context.close()
    # The browser itself reports the page that was asked for in vain.
    assert [message for message in messages if "404" not in message] == []
    assert hosts == {served.split("/")[2]}


def test_everything_to_press_is_at_least_24_pixels_wide_and_high(browser: Browser, served: str) -> None:
    """WCAG 2.2, 2.5.8 Target Size (Minimum); links within a sentence are exempt there."""
    page = browser.new_page(viewport={"width": 390, "height": 800})
    page.goto(served)
    small = page.eval_on_selector_all(
        "a:not(.skip, p a, li li a), button, label, input:not([type=hidden])",
        "all => all.filter(e => !e.closest('label') || e.tagName === 'LABEL')"
        ".map(e => [e.textContent.trim(), e.getBoundingClientRect()])"
        ".filter(([, box]) => box.width < 24 || box.height < 24).map(([text]) => text)",
    )
    page.close()
    assert small == []


def test_the_keyboard_comes_first_to_the_skip_link_which_then_shows(browser: Browser, served: str) -> None:
    page = browser.new_page(viewport={"width": 1280, "height": 800})
    page.goto(served)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.getAttribute('href')") == "#content"
    assert page.evaluate("document.activeElement.getBoundingClientRect().top") >= 0
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "content"
    page.close()


def test_every_drawing_has_a_name_or_is_hidden_from_screen_readers(browser: Browser, served: str) -> None:
    page = browser.new_page()
    for address in PAGES:
        page.goto(served + address)
        bare = page.eval_on_selector_all(
            "svg",
            "all => all.filter(e => e.getAttribute('aria-hidden') !== 'true' && !(e.getAttribute('role') === 'img'"
            " && (e.getAttribute('aria-label') || document.getElementById(e.getAttribute('aria-labelledby'))))).length",
        )
        assert bare == 0
    page.close()
