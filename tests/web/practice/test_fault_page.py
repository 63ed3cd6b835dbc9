"""The page of one simulated fault: reached only from a result, complete without script."""

from __future__ import annotations

import re

import pytest
from flask.testing import FlaskClient

from tests.web.practice.test_practice_pages import begin, filled
from trainer.domain.tasks import Task


@pytest.fixture
def result(client: FlaskClient, by_hand: Task) -> str:
    address = begin(client)
    answer = client.post(address, data={**filled(by_hand, "A", "B"), "attempt": "1"})
    assert answer.status_code == 303
    return answer.location


def test_every_fault_that_the_page_offers_has_its_page(client: FlaskClient, result: str) -> None:
    page = client.get(f"{result}/fault").text
    places = re.findall(r'<option value="((?:equipment|circuits)\.[^"]+)"', page)
    assert places
    for place in places:
        shown = client.get(f"{result}/fault", query_string={"at": place})
        assert shown.status_code == 200
        walks = re.findall(r'<option value="([^"]*~[^"]*)"', shown.text)
        assert walks
        for walk in walks:
            assert client.get(f"{result}/fault", query_string={"at": place, "walk": walk}).status_code == 200


def test_the_first_fault_shown_is_one_that_nobody_need_clear(client: FlaskClient, result: str) -> None:
    page = client.get(f"{result}/fault").text
    assert "Nobody need act" in page
    assert "is not required to act" in page
    assert 'class="lit"' in page
    assert "stays live" in page
    assert "cannot act" not in page
    assert "This is a training aid" in page


def test_a_fault_that_there_is_not_is_told_so(client: FlaskClient, result: str) -> None:
    assert client.get(f"{result}/fault?walk=nothing").status_code == 404
    assert client.get(f"{result}/fault?at=equipment.nothing").status_code == 404
    assert client.get(f"{result[:-4]}none/fault").status_code == 404


def test_a_change_of_place_leaves_the_fault_of_the_former_one(client: FlaskClient, result: str) -> None:
    page = client.get(f"{result}/fault").text
    walk = re.findall(r'<option value="([^"]*~[^"]*)" selected', page)[0]
    other = next(p for p in re.findall(r'<option value="((?:equipment|circuits)\.[^"]+)" >', page))
    shown = client.get(f"{result}/fault", query_string={"at": other, "walk": walk}).text
    assert f'value="{other}" selected' in shown
