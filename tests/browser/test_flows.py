"""From the first page to the explained result: by keyboard alone, and without script."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import Opener, Site, View

MOST_STEPS = 400


def tab_to(page: Page, matches: str) -> None:
    """Presses the tabulator until the focused element matches; what cannot be reached fails."""
    for _ in range(MOST_STEPS):
        page.keyboard.press("Tab")
        if page.evaluate(f"document.activeElement.matches({matches!r})"):
            assert page.evaluate(
                "getComputedStyle(document.activeElement).outlineStyle !== 'none' "
                "|| !!document.activeElement.closest('label, a')"
            ), matches
            return
    pytest.fail(f"the keyboard does not reach {matches}")


def test_a_task_is_answered_by_keyboard_alone(look: Opener, site: Site) -> None:
    """WCAG 2.2: 2.1.1 Keyboard, 2.1.2 No Keyboard Trap, 2.4.7 Focus Visible."""
    page = look(View(width=1280))
    page.goto(site.of("home"))
    # What else the page offers depends on what this visitor did before.
    tab_to(page, "main form:has(fieldset) button")
    page.keyboard.press("Enter")
    page.wait_for_url("**/s/*")
    names = page.eval_on_selector_all("#decisions input[type=radio]", "all => [...new Set(all.map(e => e.name))]")
    for name in names:
        if not page.locator(f'[name="{name}"]').first.is_visible():
            tab_to(page, f'details:has([name="{name}"]) > summary')
            page.keyboard.press("Enter")
        tab_to(page, f'[name="{name}"]')
        page.keyboard.press("Space")
        assert page.evaluate(f"document.activeElement.name === {name!r} && document.activeElement.checked")
    tab_to(page, "#hand-in")
    page.keyboard.press("Enter")
    page.wait_for_url("**/result/*")
    assert page.locator("main h1").is_visible()


def test_a_task_is_answered_without_script(look: Opener, site: Site) -> None:
    page = look(View(width=390, script=False))
    page.goto(site.of("home"))
    page.get_by_role("button", name="Begin at this level").click()
    page.wait_for_url("**/s/*")
    for group in page.locator("form#decisions fieldset").all():
        group.locator("input[type=radio]").first.check()
    page.get_by_role("button", name="Hand in").click()
    page.wait_for_url("**/result/*")
    assert page.get_by_role("heading", level=1).inner_text() in ("What your choice does", "No failing finding")
    assert "Caution" in page.locator("main, footer").all_inner_texts()[0] + page.locator("footer").inner_text()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_whoever_asks_for_forced_colours_still_sees_lines_and_marks(look: Opener, site: Site, scheme: str) -> None:
    page = look(View(width=390, scheme=scheme))
    page.emulate_media(forced_colors="active", color_scheme="dark" if scheme == "dark" else "light")
    page.goto(site.of("result 4 wrong"))
    ground = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    strokes = page.eval_on_selector_all(
        ".line-diagram .wire, .line-diagram .seal, .scale .limit", "all => all.map(e => getComputedStyle(e).stroke)"
    )
    assert strokes
    assert ground not in strokes


@pytest.mark.parametrize("name", ["task 4", "result 4 wrong", "fault 4"])
def test_on_paper_a_wide_drawing_shrinks_to_the_page(look: Opener, site: Site, name: str) -> None:
    """A4 has about 700 px between its margins."""
    page = look(View(width=700))
    page.emulate_media(media="print")
    page.goto(site.of(name))
    over = page.eval_on_selector_all(
        ".diagram svg", "all => all.filter(e => e.getBoundingClientRect().right > innerWidth).length"
    )
    assert over == 0
    assert page.evaluate("document.documentElement.scrollWidth") <= 700
    assert not page.locator("nav.places").is_visible()
