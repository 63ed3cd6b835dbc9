"""The rule book on pages: index, search, one page for each rule."""

from __future__ import annotations

import pytest
from flask.testing import FlaskClient

from trainer.domain.rules.book import ALL_RULES


def test_the_index_links_to_every_rule(client: FlaskClient) -> None:
    page = client.get("/rules").text
    assert all(f'href="/rules/{rule.id}"' in page for rule in ALL_RULES)


@pytest.mark.parametrize("rule_id", [rule.id for rule in ALL_RULES])
def test_every_rule_has_a_page_with_source_and_status(client: FlaskClient, rule_id: str) -> None:
    answer = client.get(f"/rules/{rule_id}")
    rule = next(each for each in ALL_RULES if each.id == rule_id)
    assert answer.status_code == 200
    assert rule.citation.status.value in answer.text
    assert "Caution" in answer.text


def test_the_search_says_when_nothing_is_found(client: FlaskClient) -> None:
    page = client.get("/rules?q=zebra").text
    assert "No rule holds all of these words" in page


def test_the_search_keeps_what_was_typed_and_escapes_it(client: FlaskClient) -> None:
    page = client.get("/rules", query_string={"q": '<script>"'}).text
    assert "<script>" not in page
    assert "&lt;script&gt;" in page


def test_an_unknown_rule_is_refused_with_the_nearest_one(client: FlaskClient) -> None:
    answer = client.get("/rules/OC-99")
    assert answer.status_code in (400, 404)
    assert "OC-" in answer.text
