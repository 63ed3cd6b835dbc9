"""Search, marks and drafts over plain forms, as a browser without script sends them."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.web.practice.test_practice_pages import begin, filled
from trainer.domain.tasks import Task
from trainer.web.wiring import EXTENSION


def pressed(page: str) -> list[str]:
    return re.findall(r'name="unmark" value="([^"]+)"', page)


def test_a_search_tells_where_and_marks_what_it_found(client: FlaskClient, by_hand: Task) -> None:
    page = client.get(f"{begin(client)}?find=KW").text
    assert "1 line holds this:" in page
    assert '<a href="#line-s1-r1">Input</a>' in page
    assert "7.4\u00a0<mark>kW</mark>" in page
    assert 'id="side-papers" value="papers" checked' in page


def test_a_search_in_vain_says_so(client: FlaskClient, by_hand: Task) -> None:
    page = client.get(f"{begin(client)}?find=<b>elephant").text
    assert "No line holds all of these words." in page
    assert "<b>elephant" not in page
    assert "<mark>" not in page


def test_a_line_is_marked_listed_and_unmarked_without_losing_what_was_chosen(
    client: FlaskClient, by_hand: Task
) -> None:
    address = begin(client)
    assert pressed(client.get(address).text) == []
    chosen = {f"choice-{by_hand.decisions[0].id}": "A"}
    page = client.post(address, data={"mark": "s1.r1", **chosen})
    assert page.status_code == 200
    assert pressed(page.text) == ["s1.r1"]
    assert "Your marked lines" in page.text
    assert re.search(r'<a href="#line-s1-r1">Input</a>: 7\.4\u00a0kW', page.text)
    assert 'value="A" checked' in page.text
    assert pressed(client.get(address).text) == ["s1.r1"]
    client.post(address, data={"unmark": "s1.r1"})
    assert pressed(client.get(address).text) == []


@pytest.mark.parametrize("line", ["s1.r9", "", "s1", "key.traps", "x" * 500])
def test_what_is_no_line_is_not_marked(client: FlaskClient, by_hand: Task, line: str) -> None:
    address = begin(client)
    assert client.post(address, data={"mark": line}).status_code == 200
    assert "Your marked lines" not in client.get(address).text


def test_choices_that_were_kept_are_there_on_another_visit_and_gone_after_handing_in(
    client: FlaskClient, by_hand: Task
) -> None:
    address = begin(client)
    first, second = (f"choice-{each.id}" for each in by_hand.decisions)
    client.post(address, data={first: "A", second: "Z", f"sure-{by_hand.decisions[0].id}": "2", "show": "drawing"})
    page = client.get(address).text
    assert 'value="A" checked' in page
    assert re.search(r'<option value="2" selected>', page)
    assert "1 of 2 chosen" in page
    client.post(address, data={**filled(by_hand, "A", "B"), "attempt": "1"})
    assert 'value="A" checked' not in client.get(address).text


def test_a_script_gets_only_what_it_asks_for(client: FlaskClient, by_hand: Task) -> None:
    address = begin(client)
    marked = client.post(address, data={"mark": "s1.n1"}, headers={"X-Part": "marked"})
    assert "<html" not in marked.text
    assert "note 1" in marked.text
    kept = client.post(
        address, data={"show": "kept", f"choice-{by_hand.decisions[0].id}": "F"}, headers={"X-Part": "kept"}
    )
    assert (kept.status_code, kept.text) == (204, "")
    assert 'value="F" checked' in client.get(address).text


def test_somebody_else_with_the_address_neither_sees_nor_makes_marks(
    client: FlaskClient, app: Flask, by_hand: Task
) -> None:
    address = begin(client)
    client.post(address, data={"mark": "s1.r1", f"choice-{by_hand.decisions[0].id}": "A"})
    other = app.test_client()
    page = other.get(address).text
    assert pressed(page) == []
    assert 'name="mark"' not in page
    assert 'value="A" checked' not in page
    other.post(address, data={"mark": "s1.n1", f"choice-{by_hand.decisions[0].id}": "B"})
    mine = client.get(address).text
    assert pressed(mine) == ["s1.r1"]
    assert 'value="A" checked' in mine


def test_somebody_else_who_hands_in_takes_nothing_from_what_its_owner_had_begun(
    client: FlaskClient, app: Flask, by_hand: Task
) -> None:
    address = begin(client)
    client.post(address, data={"show": "drawing", f"choice-{by_hand.decisions[0].id}": "A"})
    app.test_client().post(address, data={**filled(by_hand, "A", "B"), "attempt": "1"})
    assert 'value="A" checked' in client.get(address).text


def test_of_two_who_have_a_task_open_each_is_told_of_the_own_answer(
    client: FlaskClient, app: Flask, by_hand: Task
) -> None:
    address, other = begin(client), app.test_client()
    first = other.post(address, data={**filled(by_hand, "A", "B"), "attempt": "1"})
    mine = client.post(address, data={**filled(by_hand, "F", "B"), "attempt": "1"})
    assert mine.location != first.location
    for number in ("1", "2"):
        again = client.post(address, data={**filled(by_hand, "F", "B"), "attempt": number})
        assert again.location == mine.location
    visitor = app.test_client()
    assert visitor.post(address, data={**filled(by_hand, "A", "Z"), "attempt": "1"}).location not in (
        first.location,
        mine.location,
    )


def test_enter_in_a_field_hands_in_and_marks_nothing(client: FlaskClient, by_hand: Task) -> None:
    """HTML, form submission: the first button of the form in the order of the page is the one that Enter presses."""
    page = client.get(begin(client)).text
    buttons = re.findall(r'<button[^>]*form="decisions"[^>]*>', page)
    assert buttons[0] == '<button form="decisions" hidden>'


def test_a_finding_leads_to_its_line_and_says_whether_it_was_marked_before_handing_in(client: FlaskClient) -> None:
    """Over a generated house, whose findings rest on its papers."""
    app = client.application
    app.config["WTF_CSRF_ENABLED"] = False
    app.extensions[EXTENSION] = replace(app.extensions[EXTENSION], new_seed=lambda: 1)
    address = str(client.post("/practise", data={"level": "4"}).location)
    page = client.get(address).text
    options = re.findall(r'type="radio" form="decisions" name="(choice-[^"]+)" value="([^"]+)"', page)
    answers = {**dict(options), "attempt": "1"}
    for line in re.findall(r'name="mark" value="(supply\.[^"]+)"', page):
        client.post(address, data={"mark": line})
    result = str(client.post(address, data=answers).location)
    told = client.get(result).text
    places = re.findall(rf'<a href="{address}#(line-[^"]+)">[^<]*</a>.*?(?:you had (not )?marked it)', told, re.DOTALL)
    assert places
    assert {bool(neglected) for line, neglected in places if line.startswith("line-supply")} <= {False}
    assert {bool(neglected) for line, neglected in places if not line.startswith("line-supply")} <= {True}
    assert all(f'id="{line}"' in page for line, _ in places)
    # Whoever else has the address reads the result and not what was marked.
    assert "marked it)" not in app.test_client().get(result).text
    # Marks that come after the result has been read change nothing.
    for line in re.findall(r'name="mark" value="(survey\.[^"]+)"', page):
        client.post(address, data={"mark": line})
    assert client.get(result).text.count("you had marked it") == told.count("you had marked it")
    second = str(client.post(address, data={**answers, "attempt": "2"}).location)
    assert client.get(second).text.count("you had marked it") > told.count("you had marked it")


def test_whoever_marks_nothing_is_told_nothing_of_marks(client: FlaskClient, by_hand: Task) -> None:
    address = begin(client)
    result = client.post(address, data={**filled(by_hand, "A", "B"), "attempt": "1"}).location
    assert "marked it" not in client.get(result).text
