"""From the offer to the explained result, as a browser without script does it."""

from __future__ import annotations

import re

import pytest
from flask.testing import FlaskClient

from tests.web.practice.conftest import CANARY
from trainer.domain.tasks import Task


def begin(client: FlaskClient) -> str:
    answer = client.post("/practise", data={"level": "3"})
    assert answer.status_code == 303
    return answer.location


def filled(task: Task, *choices: str) -> dict[str, str]:
    return {f"choice-{d.id}": c for d, c in zip(task.decisions, choices, strict=True)}


def handed_in(client: FlaskClient, task: Task, *choices: str, **more: str) -> str:
    address = begin(client)
    answer = client.post(address, data={**filled(task, *choices), "attempt": "1", **more})
    assert answer.status_code == 303, answer.text
    return client.get(answer.location).text


def test_the_task_shows_drawing_papers_and_decisions(client: FlaskClient, by_hand: Task) -> None:
    page = client.get(begin(client)).text
    for part in (by_hand.title, "Somebody wants a charger.", "<svg", "7.4\u00a0kW", "Which type?", "Caution"):
        assert part in page


def test_nothing_that_gives_the_answer_away_reaches_the_page(client: FlaskClient, by_hand: Task) -> None:
    page = client.get(begin(client)).text
    assert CANARY not in page
    assert "checked" not in page[page.index('id="decisions"') :]
    drawing = page[page.index("<svg") : page.index("Your decisions")]
    # The example has one type B, and it is to be chosen; its value must not show.
    assert "type B" not in drawing


def test_a_compliant_answer_earns_all_marks(client: FlaskClient, by_hand: Task) -> None:
    page = handed_in(client, by_hand, "B", "B")
    assert "No failing finding" in page
    assert "Not safe to energise" not in page


def test_a_wrong_answer_is_explained_with_rule_and_least_change(client: FlaskClient, by_hand: Task) -> None:
    page = handed_in(client, by_hand, "A", "B")
    for part in ("Not safe to energise", "The least change", "RCD-07", "531.3.3", "type B", "Caution"):
        assert part in page
    assert "It is not required to." in page


def test_sure_and_wrong_is_said(client: FlaskClient, by_hand: Task) -> None:
    sure = {f"sure-{by_hand.decisions[0].id}": "3"}
    assert "You were certain of this one." in handed_in(client, by_hand, "A", "B", **sure)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"drop": "choice"}, "Choose one of the options."),
        ({"value": "Z"}, "no such option"),
        ({"sure": "9"}, "0 to 3"),
        ({"extra": "x"}, "fields that this task does not have"),
    ],
)
def test_a_form_that_cannot_be_marked_comes_back_as_it_was(
    client: FlaskClient, by_hand: Task, change: dict[str, str], said: str
) -> None:
    address = begin(client)
    data = filled(by_hand, "A", "B")
    first = f"choice-{by_hand.decisions[0].id}"
    if "drop" in change:
        del data[first]
    if "value" in change:
        data[first] = change["value"]
    if "sure" in change:
        data[f"sure-{by_hand.decisions[0].id}"] = change["sure"]
    if "extra" in change:
        data["colour"] = "red"
    answer = client.post(address, data=data)
    assert answer.status_code == 400
    assert said in answer.text
    assert re.search(r'value="B" checked', answer.text)


def test_the_same_form_sent_twice_is_one_attempt(client: FlaskClient, by_hand: Task) -> None:
    address = begin(client)
    data = {**filled(by_hand, "A", "B"), "attempt": "1"}
    assert client.post(address, data=data).location == client.post(address, data=data).location


def test_the_same_decision_sent_twice_is_refused(client: FlaskClient, by_hand: Task) -> None:
    address = begin(client)
    name = f"choice-{by_hand.decisions[0].id}"
    answer = client.post(address, data={**filled(by_hand, "A", "B"), name: ["A", "B"]})
    assert answer.status_code == 400
    assert "more than once" in answer.text


def test_progress_counts_by_objective(client: FlaskClient, by_hand: Task) -> None:
    assert "Nothing handed in yet" in client.get("/progress").text
    handed_in(client, by_hand, "A", "B")
    page = client.get("/progress").text
    assert "LO02" in page
    assert "It copes." in page


@pytest.mark.parametrize("address", ["/s/nowhere", "/s/nowhere/result/none", "/practise?level=9"])
def test_an_address_that_leads_nowhere_is_told_so(client: FlaskClient, by_hand: Task, address: str) -> None:
    assert client.get(address).status_code == 404


def test_a_result_of_another_page_is_not_shown(client: FlaskClient, by_hand: Task) -> None:
    address = begin(client)
    done = client.post(address, data={**filled(by_hand, "B", "B"), "attempt": "1"}).location
    other = begin(client)
    assert client.get(f"{other}/result/{done.rpartition('/')[2]}").status_code == 404


def test_a_result_leads_to_the_fault_to_a_short_question_and_to_every_acceptable_answer(
    client: FlaskClient, by_hand: Task
) -> None:
    page = handed_in(client, by_hand, "A", "B")
    shown = re.search(r'class="show-me" href="([^"]+)"', page)
    assert shown
    assert "Nobody need act" in client.get(shown[1].replace("&amp;", "&")).text
    assert "One short question on this point" in page
    assert 'name="family" value="' in page
    assert "Of 16 possible answers" in page


def test_the_caution_stands_beside_the_verdict_and_once_on_the_page(client: FlaskClient, by_hand: Task) -> None:
    page = handed_in(client, by_hand, "A", "B")
    assert page.count("This is a training aid") == 1
    assert page.index("This is a training aid") < page.index("The least change")


def test_the_result_draws_a_way_from_each_place_to_what_is_said_of_it(client: FlaskClient, by_hand: Task) -> None:
    page = handed_in(client, by_hand, "A", "B")
    targets = re.findall(r'<a href="#(decision-[^"]+)" data-place', page)
    assert targets
    assert all(f'id="{target}"' in page for target in targets)


def test_a_result_that_was_kept_before_papers_were_named_still_has_its_page(
    client: FlaskClient, by_hand: Task, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("trainer.web.practice.writing._add_papers", lambda *_: None)
    page = handed_in(client, by_hand, "A", "B")
    assert "Not safe to energise" in page
    assert "In the papers" not in page
