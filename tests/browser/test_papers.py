"""The papers at work: search and marks in place and without script, one side at a time on a phone, one row of menu."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Opener, Site, View, led_on, opened_afresh
from tests.browser.test_flows import tab_to


def _at_papers(page: Page, site: Site, name: str = "task 4") -> Page:
    page.goto(site.of(name))
    switch = page.get_by_role("radio", name="Papers")
    if switch.is_visible():
        page.locator(".switch").get_by_text("Papers", exact=True).click()
    return page


def test_a_search_marks_while_it_is_typed_and_leads_to_the_line(look: Opener, site: Site) -> None:
    page = _at_papers(look(View(width=1280)), site)
    page.get_by_role("searchbox", name="Search in the papers").fill("ze MEASURED")
    expect(page.locator("#found-count")).to_have_text("1 line holds this:")
    assert page.locator("#papers mark").all_inner_texts() == ["Ze", "measured"]
    page.locator("#found a").click()
    expect(page.locator(".line:target th")).to_have_text("Ze, measured")
    page.get_by_role("searchbox").fill("elephant")
    expect(page.locator("#found-count")).to_contain_text("No line holds all of these words.")
    assert page.locator("#papers mark").count() == 0
    page.get_by_role("searchbox").fill("")
    expect(page.locator("#found-count")).to_have_text("")


def test_search_in_place_and_by_the_server_find_the_same(look: Opener, site: Site) -> None:
    for words in ("mA", "type b", "way 1 cable", "(pme)", "note"):
        page = _at_papers(look(View(width=1280)), site)
        page.get_by_role("searchbox").fill(words)
        expect(page.locator("#found-count")).not_to_have_text("")
        here = page.locator("#papers").evaluate(
            "e => [e.querySelectorAll('mark').length, e.querySelector('#found').innerText]"
        )
        other = look(View(width=1280, script=False))
        other.goto(f"{site.of('task 4')}?find={words}")
        there = other.locator("#papers").evaluate(
            "e => [e.querySelectorAll('mark').length, e.querySelector('#found').innerText]"
        )
        assert here == there, words


def test_a_line_is_marked_in_place_by_keyboard_and_stands_beside_the_decisions(look: Opener, site: Site) -> None:
    page = _at_papers(look(View(width=1280)), site)
    pin = page.get_by_role("button", name="Mark: Ze, measured")
    pin.focus()
    page.keyboard.press("Enter")
    expect(pin).to_have_attribute("aria-pressed", "true")
    listed = page.locator("#marked a", has_text="Ze, measured")
    expect(listed).to_be_visible()
    assert "/s/" in page.url
    page.reload()
    expect(pin).to_have_attribute("aria-pressed", "true")
    page.locator("#marked a", has_text="Ze, measured").click()
    expect(page.locator(".line:target th")).to_have_text("Ze, measured")
    pin.click()
    expect(pin).to_have_attribute("aria-pressed", "false")
    expect(listed).to_have_count(0)


def test_without_script_a_mark_keeps_what_was_chosen_and_returns_to_its_line(look: Opener, site: Site) -> None:
    page = look(View(width=390, script=False))
    opened_afresh(page, site.of("task 4"))
    chosen = page.locator("form#decisions details[open] input[type=radio]").first
    chosen.check()
    page.locator(".switch").get_by_text("Papers", exact=True).click()
    with led_on(page):
        page.get_by_role("button", name="Mark: Service fuse").click()
    assert page.url.endswith("#line-" + page.locator(".line:target").get_attribute("id").removeprefix("line-"))
    expect(page.locator(".line:target th")).to_have_text("Service fuse")
    assert page.locator("#decisions input[type=radio]:checked").count() == 1
    with led_on(page):
        page.get_by_role("button", name="Mark: Service fuse").click()
    expect(page.get_by_role("button", name="Mark: Service fuse")).to_have_attribute("aria-pressed", "false")


@pytest.mark.parametrize("script", [True, False])
def test_on_a_phone_one_side_shows_at_a_time_and_its_bar_stays_in_sight(look: Opener, site: Site, script: bool) -> None:
    page = look(View(width=390, script=script))
    page.goto(site.of("task 4"))
    assert page.locator("#decisions").is_visible()
    assert not page.locator("#papers").is_visible()
    page.locator(".switch").get_by_text("Papers", exact=True).click()
    assert page.locator("#papers").is_visible()
    assert not page.locator("#decisions").is_visible()
    page.mouse.wheel(0, 4000)
    expect(page.locator("#count")).to_be_in_viewport()
    assert page.locator("#bar").evaluate("e => e.getBoundingClientRect().height") <= 56


def test_the_switch_works_by_keyboard_and_on_a_wide_page_both_sides_show(look: Opener, site: Site) -> None:
    page = look(View(width=390))
    page.goto(site.of("task 4"))
    tab_to(page, "#side-decisions")
    page.keyboard.press("ArrowRight")
    assert page.locator("#papers").is_visible()
    page.set_viewport_size({"width": 1280, "height": 800})
    assert page.locator("#papers").is_visible()
    assert page.locator("#decisions").is_visible()
    assert not page.get_by_role("radio", name="Papers").is_visible()


def test_choosing_counts_in_the_bar_and_at_the_device(look: Opener, site: Site) -> None:
    page = opened_afresh(look(View(width=390)), site.of("task 4"))
    before = page.locator("#decisions input[type=radio]:checked").count()
    group = page.locator("details.group").last
    group.locator("summary").click()
    group.locator("input[type=radio]:not(:checked)").first.check()
    made = page.locator("#decisions fieldset:has(input:checked)").count()
    assert made in (before, before + 1)
    expect(page.locator("#count")).to_contain_text(f"{made} of")
    expect(group.locator("[data-made]")).to_contain_text("1 of")


@pytest.mark.parametrize("name", ["inspect", "measure"])
def test_what_is_asked_about_a_place_opens_at_the_drawing(look: Opener, site: Site, name: str) -> None:
    page = opened_afresh(look(View(width=390)), site.of(name))
    place = page.locator("#drawn a[data-place]").first
    place.click()
    panel = page.get_by_role("dialog")
    expect(panel).to_be_visible()
    assert page.evaluate("document.querySelector('.options').contains(document.activeElement)")
    with page.expect_response(lambda answer: answer.request.method == "POST") as kept:
        panel.locator("select").first.select_option(index=2)
        expect(page.locator("#count")).to_contain_text("1 ")
        panel.get_by_role("button", name="Close").click()
        assert page.locator("#decisions select").first.is_visible()
    assert kept.value.ok
    page.reload()
    expect(page.locator("#count")).to_contain_text("1 ")


@pytest.mark.parametrize("width", [320, 390])
@pytest.mark.parametrize("script", [True, False])
def test_the_navigation_is_one_row_that_opens_over_the_page(look: Opener, site: Site, width: int, script: bool) -> None:
    page = look(View(width=width, script=script))
    page.goto(site.of("home"))
    assert page.locator("header.heading").evaluate("e => e.getBoundingClientRect().height") <= 64
    top = page.locator("main").bounding_box()
    page.get_by_text("Menu", exact=True).click()
    assert page.get_by_role("link", name="Rules", exact=True).is_visible()
    assert page.locator("main").bounding_box() == top
    page.get_by_role("link", name="Rules", exact=True).click()
    page.wait_for_url("**/rules")


def test_on_a_wide_page_all_places_stand_in_the_navigation(look: Opener, site: Site) -> None:
    page = look(View(width=1280, script=False))
    page.goto(site.of("home"))
    assert page.get_by_role("link", name="Rules", exact=True).is_visible()
    assert not page.get_by_text("Menu", exact=True).is_visible()


@pytest.mark.parametrize("width", [320, 390, 1280])
def test_a_drawing_that_goes_on_says_so_and_one_that_fits_does_not(look: Opener, site: Site, width: int) -> None:
    page = look(View(width=width))
    for name in ("task 1", "task 4", "result 4 wrong", "fault 4", "inspect"):
        page.goto(site.of(name))
        goes_on = page.locator("figure.diagram[tabindex]").first.evaluate("e => e.scrollWidth > e.clientWidth + 24")
        assert page.locator(".sideways").first.is_visible() == goes_on, name
