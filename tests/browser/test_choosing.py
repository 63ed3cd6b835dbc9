"""The drawing as the place of work: options open beside a device, and the drawing shows what was chosen."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import Opener, Site, View, led_on, opened_afresh

TYPED = "a[data-place^='devices.']"


def _opened(page: Page, site: Site) -> Page:
    return opened_afresh(page, site.of("task 4"))


def _offered_type_f(page: Page) -> str:
    """The place of a device at which type F may be chosen."""
    found = page.evaluate(
        """() => [...document.querySelectorAll("#decisions fieldset:has(input[value='F'])")]
          .flatMap(each => each.dataset.places.split(' '))
          .find(place => place.startsWith('devices.') && document.querySelector(`#drawn a[data-place='${place}']`))"""
    )
    assert found, "the house offers no type F at any device that can be selected"
    return str(found)


def _panel_is_beside_its_device(page: Page) -> bool:
    """The two touch or lie near each other, and neither covers the other."""
    return bool(
        page.evaluate(
            """() => {
              const a = document.querySelector('.options').getBoundingClientRect();
              const b = document.querySelector('#drawn a.is-open').getBoundingClientRect();
              const across = Math.max(a.left - b.right, b.left - a.right);
              const down = Math.max(a.top - b.bottom, b.top - a.bottom);
              return Math.max(across, down) >= 0 && Math.max(across, down) <= 60;
            }"""
        )
    )


@pytest.mark.parametrize("width", [320, 390, 1280])
def test_a_device_opens_its_options_beside_it_and_shows_what_was_chosen(look: Opener, site: Site, width: int) -> None:
    page = _opened(look(View(width=width)), site)
    place = _offered_type_f(page)
    page.locator(f"#drawn a[data-place='{place}']").click()
    panel = page.get_by_role("dialog")
    assert _panel_is_beside_its_device(page)
    assert page.evaluate("document.querySelector('.options').contains(document.activeElement)")
    panel.get_by_label("Type F", exact=True).check()
    expect(page.locator(f"#drawn a[data-place='{place}']")).to_contain_text("type F")
    assert "1 of" in panel.get_by_role("status").inner_text()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    panel.get_by_role("button", name="Close").click()
    assert page.evaluate("document.activeElement.dataset.place") == place
    assert page.locator("#decisions input[value='F']:checked").count() == 1


def test_a_finger_opens_the_options_too(browser: Browser, site: Site) -> None:
    context = browser.new_context(viewport={"width": 390, "height": 800}, has_touch=True, is_mobile=True)
    context.add_cookies([{"name": "trainer", "value": site.cookie, "url": site.address}])
    page = _opened(context.new_page(), site)
    page.locator(f"#drawn {TYPED}").nth(1).tap()
    assert page.get_by_role("dialog").is_visible()
    context.close()


def test_the_keyboard_goes_from_decision_to_decision_at_the_drawing(look: Opener, site: Site) -> None:
    page = _opened(look(View(width=1280)), site)
    page.locator(f"#drawn {TYPED}").first.focus()
    page.keyboard.press("Enter")
    first = page.get_by_role("dialog").get_by_role("heading").inner_text()
    page.keyboard.press("Space")
    for _ in range(20):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.matches('[data-next]')"):
            break
    page.keyboard.press("Enter")
    assert page.get_by_role("dialog").is_visible()
    assert page.evaluate("document.activeElement.closest('.options') !== null")
    page.keyboard.press("Escape")
    assert page.get_by_role("dialog").count() == 0
    assert page.evaluate("document.activeElement.closest('#drawn') !== null")
    assert first


def test_every_decision_can_be_made_at_the_drawing_or_is_led_to(look: Opener, site: Site) -> None:
    page = _opened(look(View(width=1280)), site)
    count = page.locator("#decisions fieldset[data-places]").count()
    page.locator(f"#drawn {TYPED}").first.click()
    for _ in range(count + 2):
        held = page.locator(".options fieldset, #decisions fieldset:has(input:focus)")
        for number in range(held.count()):
            held.nth(number).locator("input[type=radio]").first.check()
        following = page.locator("[data-next]:visible")
        if following.count():
            following.click()
            continue
        left = page.locator("#decisions fieldset[data-places]:not(:has(input:checked))")
        if left.count() == 0:
            break
        left.first.evaluate("e => e.closest('details')?.setAttribute('open', '')")
        place = left.first.locator("input[type=radio]").first
        place.check()
    assert page.locator("fieldset[data-places]:not(:has(input:checked))").count() == 0
    page.keyboard.press("Escape")
    page.locator("#hand-in").click()
    page.wait_for_url("**/result/*")


def test_without_script_a_button_shows_the_choices_in_the_drawing(look: Opener, site: Site) -> None:
    page = _opened(look(View(width=390, script=False)), site)
    group = page.locator("#decisions details:has(input[value='F'])").first
    if not group.evaluate("e => e.open"):
        group.locator("summary").click()
    group.get_by_label("Type F", exact=True).first.check()
    before = page.locator("#drawn").inner_text().count("type F")
    with led_on(page):
        page.get_by_role("button", name="Keep, and show in the drawing").click()
    assert page.locator("#drawn").inner_text().count("type F") == before + 1
    assert page.locator("#decisions").get_by_label("Type F", exact=True).first.is_checked()
    assert page.locator("[role=alert]").count() == 0
