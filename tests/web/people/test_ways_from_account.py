"""Whoever signed in finds the way to what they came for, on the account page and in the navigation."""

from __future__ import annotations

import pytest
from lxml import html

from tests.web.people.conftest import Browser, House
from tests.web.people.world import furnished
from trainer.persistence.repositories import SqlStorage


@pytest.fixture
def house(storage: SqlStorage) -> House:
    """A college with one person of each role."""
    return furnished(storage, "college")


def ways(browser: Browser) -> tuple[list[str], list[str]]:
    """The labels of the navigation, and those of the buttons that lead on from the account page."""
    page = html.fromstring(browser.get("/account").text)
    menu = [" ".join(each.text_content().split()) for each in page.xpath("//header//nav//a")]
    return menu, [each.text for each in page.xpath('//main//a[contains(@class, "button")]')]


def test_a_learner_is_led_to_papers_and_practice(house: House, browser_of) -> None:
    menu, buttons = ways(browser_of("college-learner"))
    assert buttons[:2] == ["My papers", "Practise"]
    assert "Groups" not in menu


def test_a_lecturer_is_led_to_papers_and_groups(house: House, browser_of) -> None:
    menu, buttons = ways(browser_of("college-lecturer"))
    assert {"Papers", "Groups"} <= set(menu) & set(buttons)
    assert "People" not in buttons


def test_a_training_manager_is_led_to_programmes_and_people(house: House, browser_of) -> None:
    menu, buttons = ways(browser_of("college-training_manager"))
    assert {"Programmes", "People", "Groups"} <= set(buttons)
    assert {"Programmes", "Groups"} <= set(menu)
