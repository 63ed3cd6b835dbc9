"""The first page."""

from __future__ import annotations

import pytest
from flask import Blueprint, Flask
from flask.testing import FlaskClient


def test_the_first_page_says_what_it_is_and_names_the_language(client: FlaskClient) -> None:
    answer = client.get("/")
    assert answer.status_code == 200
    assert '<html lang="en-GB">' in answer.text
    assert "Most tasks are an invented house" in answer.text


def test_the_health_page_answers_without_touching_the_database(client: FlaskClient) -> None:
    answer = client.get("/healthz")
    assert (answer.status_code, answer.text) == (200, "ok\n")


def test_the_navigation_marks_where_the_reader_is(client: FlaskClient) -> None:
    assert 'href="/about" aria-current="page"' in client.get("/about").text
    assert "aria-current" not in client.get("/").text


def test_a_level_can_be_chosen_and_a_task_be_taken_as_offered(app: Flask) -> None:
    if "practice.start" not in app.view_functions:
        practice = Blueprint("practice", __name__)
        practice.add_url_rule("/practise", "start", lambda: "")
        practice.add_url_rule("/practise", "begin", lambda: "", methods=["POST"])
        app.register_blueprint(practice)
    page = app.test_client().get("/").text
    assert page.count('action="/practise"') == 2
    assert page.count('name="level"') >= 4


@pytest.mark.parametrize("address", ["/", "/about", "/no-such-page"])
def test_the_title_block_names_the_edition_and_the_version(client: FlaskClient, address: str) -> None:
    import trainer

    text = client.get(address).text
    assert "A4:2026" in text
    assert trainer.__version__ in text
