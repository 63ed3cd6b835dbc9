"""The pages of the notes: read, finished by the learner, led on to practice."""

from __future__ import annotations

import re

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.web.test_words import SAME_IN_EVERY_LANGUAGE, left_outside, pseudo_language
from trainer.services.notes.examples import examples
from trainer.services.objectives import objectives

__all__ = ["pseudo_language"]


def test_the_list_leads_to_every_note(client: FlaskClient) -> None:
    page = client.get("/notes").text
    assert set(re.findall(r'href="/notes/(LO\d\d)"', page)) == set(objectives())


def test_every_note_shows_two_worked_examples_one_to_finish_and_practice(client: FlaskClient) -> None:
    for objective_id in objectives():
        answer = client.get(f"/notes/{objective_id}")
        assert answer.status_code == 200, objective_id
        assert answer.text.count("Worked example") == 2, objective_id
        assert answer.text.count('name="gap-') >= 1, objective_id
        assert 'action="/practise"' in answer.text, objective_id


def test_another_seed_gives_other_examples(client: FlaskClient) -> None:
    first, second = (re.findall(r'class="lead">(.*?)</p>', client.get(f"/notes/LO04?seed={n}").text) for n in (1, 2))
    assert first != second


def test_a_gap_is_told_right_or_not_yet_and_the_whole_answer_follows(client: FlaskClient) -> None:
    half = examples("LO04", 1).half
    filled = "&".join(f"{each.id}={each.right}" for each in half.gaps)
    page = client.get(f"/notes/LO04?{filled}").text
    assert page.count("not yet</span>") == 0
    assert page.count("right</span>") == len(half.gaps)
    assert "The whole answer" in page
    assert "not yet</span>" in client.get("/notes/LO04?gap-0=1").text
    assert "The whole answer" not in client.get("/notes/LO04").text


def test_an_address_that_names_nothing_is_not_found(client: FlaskClient) -> None:
    for path in ("/notes/LO99", "/notes/LO01?seed=0", "/notes/LO01?seed=abc", "/notes/LO01?seed=-1"):
        assert client.get(path).status_code == 404, path


def test_what_was_filled_in_is_shown_as_text_and_never_as_markup(client: FlaskClient) -> None:
    assert "<script>1" not in client.get("/notes/LO04?gap-0=<script>1").text


def test_a_term_is_explained_once_where_it_is_first_said(client: FlaskClient) -> None:
    page = client.get("/notes/LO03").text
    opened = re.findall(r'class="term" popovertarget="(term-[a-z0-9-]+)"', page)
    assert opened
    assert len(set(opened)) == len(opened)
    assert set(opened) == set(re.findall(r'id="(term-[a-z0-9-]+)" popover', page))


@pytest.mark.usefixtures("pseudo_language")
def test_no_text_of_the_interface_stands_outside_the_catalogue(app: Flask) -> None:
    """What is left are the objectives: content, one language per file."""
    left = left_outside(app.test_client().get("/notes").text)
    titles = {" ".join(SAME_IN_EVERY_LANGUAGE.sub(" ", each).split()) for each in objectives().values()}
    assert left <= titles | {"LO"}
