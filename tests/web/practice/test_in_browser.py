"""Task, result and progress in a real browser, without script, at three widths; the drawing measured there."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from tests.explain.houses import random_house
from trainer.domain.tasks import Task
from trainer.explain.diagram.measure import width_px
from trainer.explain.diagram.render import single_line

STYLES = ("trainer.css", "practice.css")


def _worked_through(page: Page, served: str, width: int) -> None:
    """Begins a task, hands in the first option of everything, reads the result and the progress."""
    fits = "document.documentElement.scrollWidth"
    named = (
        "all => all.filter(e => e.getAttribute('aria-hidden') !== 'true' && !e.closest('[aria-hidden=true]')"
        " && !e.getAttribute('aria-label') && !e.getAttribute('aria-labelledby')).length"
    )
    page.goto(f"{served}/practise")
    page.get_by_role("button", name="Begin").click()
    page.wait_for_url("**/s/*")
    for step in ("task", "result", "progress"):
        if step == "result":
            for group in page.locator("form#decisions fieldset").all():
                group.locator("input[type=radio]").first.check()
            page.get_by_role("button", name="Hand in").click()
            page.wait_for_url("**/result/*")
        if step == "progress":
            page.goto(f"{served}/progress")
        assert page.evaluate(fits) <= width, step
        assert page.eval_on_selector_all("svg", named) == 0, step
        assert page.get_by_text("This is a training aid").count() == 1, step


@pytest.mark.parametrize("width", [320, 390, 1280])
def test_everything_works_without_script_and_fits(browser: Browser, served: str, by_hand: Task, width: int) -> None:
    context = browser.new_context(viewport={"width": width, "height": 800}, java_script_enabled=False)
    page = context.new_page()
    messages: list[str] = []
    page.on("console", lambda message: messages.append(message.text))
    _worked_through(page, served, width)
    context.close()
    assert messages == []


def test_without_script_a_device_in_the_drawing_leads_to_its_decisions(
    browser: Browser, served: str, by_hand: Task
) -> None:
    page = browser.new_page(viewport={"width": 1280, "height": 800}, java_script_enabled=False)
    page.goto(f"{served}/practise")
    page.get_by_role("button", name="Begin").click()
    page.wait_for_url("**/s/*")
    page.locator(".line-diagram a").first.click()
    page.wait_for_url("**#*")
    target = page.evaluate("decodeURIComponent(location.hash.slice(1))")
    assert page.evaluate("id => document.getElementById(id).tagName", target) == "FIELDSET"
    page.close()


@pytest.mark.parametrize("seed", range(0, 60, 6))
def test_no_text_is_wider_than_the_room_that_was_kept_for_it(browser: Browser, root: Path, seed: int) -> None:
    css = "\n".join((root / "trainer" / "web" / "static" / name).read_text("utf-8") for name in STYLES)
    svg = single_line(random_house(seed)).svg
    page = browser.new_page()
    page.set_content(f"<!doctype html><meta charset=utf-8><style>{css}</style><figure class=diagram>{svg}</figure>")
    measured = page.eval_on_selector_all(
        "svg text", "all => all.map(e => [e.textContent, e.getAttribute('class'), e.getComputedTextLength()])"
    )
    page.close()
    assert measured
    for words, style, length in measured:
        kept = width_px(words, bold=style != "fact")
        assert length <= kept + 1.0, f"{words!r} takes {length}, kept {kept}"


def test_drawn_parts_keep_apart_also_as_the_browser_measures_them(browser: Browser, root: Path) -> None:
    css = "\n".join((root / "trainer" / "web" / "static" / name).read_text("utf-8") for name in STYLES)
    page = browser.new_page()
    for seed in range(0, 40, 8):
        svg = single_line(random_house(seed)).svg
        page.set_content(f"<!doctype html><meta charset=utf-8><style>{css}</style>{svg}")
        overlaps = page.evaluate(
            """() => {
              const boxes = [...document.querySelectorAll('svg text')]
                .map(e => [e.textContent, e.getBoundingClientRect()]);
              const met = [];
              for (let i = 0; i < boxes.length; i++) for (let j = i + 1; j < boxes.length; j++) {
                const [a, b] = [boxes[i][1], boxes[j][1]];
                const apart = a.x + a.width <= b.x + 1 || b.x + b.width <= a.x + 1
                  || a.y + a.height <= b.y + 1 || b.y + b.height <= a.y + 1;
                if (!apart) met.push([boxes[i][0], boxes[j][0]]);
              }
              return met;
            }"""
        )
        assert overlaps == [], f"seed {seed}"
    page.close()
