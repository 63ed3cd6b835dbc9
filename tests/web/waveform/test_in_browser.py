"""The waveform page in a real browser: with script it answers as its fields change."""

from __future__ import annotations

from playwright.sync_api import Browser, expect


def test_a_changed_field_renews_the_answer_in_place(browser: Browser, served: str) -> None:
    page = browser.new_page()
    told: list[str] = []
    page.on("console", lambda message: told.append(message.text))
    page.goto(f"{served}/waveform?front_end=half_wave")
    row = page.locator("tbody tr", has_text="type A").nth(1)
    before = row.inner_text()
    page.fill("#standing_dc", "20")
    page.locator("#standing_dc").blur()
    page.wait_for_url("**standing_dc=20**")
    assert "standing smooth d.c." in row.inner_text()
    assert row.inner_text() != before
    assert told == []
    page.close()


def test_a_slider_moves_the_number_and_the_answer(browser: Browser, served: str) -> None:
    page = browser.new_page()
    page.goto(f"{served}/waveform?front_end=half_wave")
    slider = page.locator("#standing_dc + .slider")
    answer = page.locator("[data-live-part=answer]")
    before = answer.inner_text()
    slider.focus()
    for _ in range(3):
        page.keyboard.press("PageUp")
    page.wait_for_url("**standing_dc=*")
    expect(answer).not_to_have_text(before, use_inner_text=True)
    assert float(page.input_value("#standing_dc")) > 0
    assert page.evaluate("document.activeElement.className") == "slider"
    page.close()
