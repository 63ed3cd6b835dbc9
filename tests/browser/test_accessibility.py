"""axe-core finds nothing on any kind of page; what it does not look for is looked for here.

axe-core: Deque Systems, as shipped in the package axe-playwright-python; rules for WCAG 2.0 to 2.2, A and AA,
and its best practices. The success criteria named below: W3C, WCAG 2.2.
"""

from __future__ import annotations

import os
from itertools import pairwise
from typing import Any

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import Opener, Site, View

WIDTHS = (320, 390, 1280)
SCHEMES = ("light", "dark")
QUICK = ((390, "light"), (1280, "dark"))
VIEWS = [
    pytest.param(View(width=width, scheme=scheme), id=f"{width}-{scheme}")
    if (width, scheme) in QUICK
    else pytest.param(View(width=width, scheme=scheme), id=f"{width}-{scheme}", marks=pytest.mark.slow)
    for width in WIDTHS
    for scheme in SCHEMES
]


def _looked_at(site: Site, view: View) -> list[str]:
    """All pages; in the quick dark view those that are named, for colours come from one stylesheet."""
    is_short = (view.width, view.scheme) == QUICK[1] and not os.environ.get("CI")
    return [name for name in site.paths if not (is_short and name.startswith("/"))]


def violations(page: Page, axe_core: str) -> list[str]:
    page.evaluate(axe_core)
    answer: dict[str, Any] = page.evaluate("axe.run(document, { resultTypes: ['violations'] })")
    return [
        f"{each['id']}: {node['target']} {node.get('failureSummary', '')}"
        for each in answer["violations"]
        for node in each["nodes"]
    ]


@pytest.mark.parametrize("view", VIEWS)
def test_axe_core_finds_nothing_on_any_page(look: Opener, site: Site, axe_core: str, view: View) -> None:
    page = look(view)
    found = {}
    for name in _looked_at(site, view):
        page.goto(site.of(name))
        if wrong := violations(page, axe_core):
            found[name] = wrong
    assert found == {}


def test_axe_core_sees_what_is_wrong(look: Opener, axe_core: str) -> None:
    page = look(View(width=390))
    page.set_content("<!doctype html><html lang=en><title>x</title><main><h1>x</h1><img src=x><p></p></main></html>")
    assert any(each.startswith("image-alt") for each in violations(page, axe_core))


BARE = """all => all.filter(e => !e.closest('[aria-hidden=true]')).filter(e => {
  const by = (e.getAttribute('aria-labelledby') || '').split(' ').map(id => document.getElementById(id));
  const name = e.getAttribute('aria-label') || by.map(each => each ? each.textContent : '').join('');
  return !(['img', 'group'].includes(e.getAttribute('role')) && name.trim());
}).map(e => e.outerHTML.slice(0, 120))"""

SMALL = """all => all.filter(e => e.type !== 'hidden' && e.checkVisibility()).map(e => {
  const held = e.closest('label') || e;
  const box = held.getBoundingClientRect();
  return [held, box.width, box.height, (held.textContent || held.name || '').trim()];
}).filter(([e, width, height]) => {
  // A link within a sentence is exempt, and so is one whose circle of 24 px meets no other target.
  const inline = e.tagName === 'A' && getComputedStyle(e).display === 'inline' && e.closest('p, li, td, th, dd, dt');
  return !inline && (width < 24 || height < 24) && !e.classList.contains('skip');
}).map(([, width, height, text]) => `${text.slice(0, 40)} ${width} x ${height}`)"""

TARGETS = "a, button, input, select, textarea, summary, [tabindex='0']"


@pytest.mark.parametrize("width", WIDTHS)
def test_pages_fit_their_width_name_every_drawing_and_give_room_to_press(look: Opener, site: Site, width: int) -> None:
    """WCAG 2.2: 1.4.10 Reflow, 1.1.1 Non-text Content (axe passes a bare svg), 2.5.8 Target Size (Minimum)."""
    page = look(View(width=width))
    found: dict[str, Any] = {}
    for name in site.paths:
        page.goto(site.of(name))
        wide = page.evaluate("document.documentElement.scrollWidth")
        bare = page.eval_on_selector_all("svg", BARE)
        small = page.eval_on_selector_all(TARGETS, SMALL)
        if wide > width or bare or small:
            found[name] = (wide, bare, small)
    assert found == {}


@pytest.mark.parametrize("zoom", [2, 4])
def test_nothing_is_lost_at_two_and_four_times_the_size(look: Opener, site: Site, zoom: int) -> None:
    """WCAG 2.2: 1.4.4 Resize Text and 1.4.10 Reflow. A browser zooms by narrowing the page to 1280 / zoom."""
    page = look(View(width=1280 // zoom))
    for name in ("home", "task 1", "result 4 wrong", "waveform"):
        page.goto(site.of(name))
        assert page.evaluate("document.documentElement.scrollWidth") <= 1280 // zoom, name
        assert page.locator("main h1").is_visible()


@pytest.mark.parametrize("name", ["task 4", "result 4 wrong", "waveform"])
def test_the_reading_order_goes_from_heading_to_heading_without_a_leap(look: Opener, site: Site, name: str) -> None:
    """WCAG 2.2: 1.3.1 Info and Relationships, 2.4.6 Headings: read in the accessibility tree."""
    page = look(View(width=1280))
    page.goto(site.of(name))
    tree = page.locator("body").aria_snapshot()
    levels = [int(line.split("[level=")[1][0]) for line in tree.splitlines() if "- heading" in line]
    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert tree.index("banner") < tree.index("main") < tree.index("contentinfo")
