"""Tasks that ask, from the form to the explained result, as a browser without script does it."""

from __future__ import annotations

import itertools
import re

import pytest
from flask import Flask
from flask.testing import FlaskClient
from lxml import html

from tests.domain.asks.tasks import task_of
from tests.web.conftest import NOON
from trainer.domain.answers.misconceptions import Misconception
from trainer.domain.asks.forms import Ask, AskForm, AskKey, Choice, Figure, FigureKind, Wrong
from trainer.domain.vocabulary import Consequence
from trainer.persistence.repositories import SqlStorage
from trainer.services.practice.tasks import Practice
from trainer.web.practice.writing import StoredForm

CANARY = "planted-canary"
TYPES = (Choice(id="p", label="type A"), Choice(id="q", label="type B"), Choice(id="r", label="type F"))
SIDES = (Choice(id="x", label="6 mA"), Choice(id="y", label="10 mA"))
WAVE = Figure(kind=FigureKind.WAVEFORM, values={"front_end": "dc_rail", "fault": ""})
BELIEF = Misconception(id="M02", statement="It trips at six.", why_wrong="It tolerates six.", rule="RCD-07")


def key(answer: str, **more: object) -> AskKey:
    return AskKey(answers=(answer,), why=CANARY, consequence=Consequence.SHOCK, rules=("RCD-07",), **more)  # type: ignore[arg-type]


ASKED = [
    (
        Ask(id="one", question="Which one?", form=AskForm.ONE, choices=TYPES),
        key("q", wrongs=(Wrong(answer="p", misconception="M02", why="Not that one."),), leaves_hazard=True),
    ),
    (Ask(id="several", question="Which of them?", form=AskForm.SEVERAL, choices=TYPES), key("p+r")),
    (Ask(id="number", question="How much?", form=AskForm.NUMBER, unit="mA"), key("6 mA", tolerance=0.05)),
    (Ask(id="order", question="In which order?", form=AskForm.ORDER, choices=TYPES), key("r>p>q")),
    (
        Ask(id="match", question="What goes with what?", form=AskForm.MATCH, choices=TYPES, partners=SIDES),
        key("p=x+q=y+r=y"),
    ),
]
RIGHT = {
    "choice-one": "q",
    "choice-several": ["p", "r"],
    "choice-number": "0.006 A",
    "place-order-r": "1",
    "place-order-p": "2",
    "place-order-q": "3",
    "place-match-p": "x",
    "place-match-q": "y",
    "place-match-r": "y",
}


@pytest.fixture
def address(app: Flask, storage: SqlStorage, client: FlaskClient) -> str:
    """The page of a task with one ask of each form."""
    asks = {ask.id: (ask, right) for ask, right in ASKED}
    task = task_of(dict(asks.values()))
    numbers = itertools.count(1)
    app.extensions["trainer.practice"] = Practice(
        storage=storage,
        make=lambda _request: (task, None),
        form=StoredForm(),
        catalogue=(BELIEF,),
        now=lambda: NOON,
        new_id=lambda: f"id-{next(numbers)}",
        new_seed=lambda: 7,
    )
    app.config["WTF_CSRF_ENABLED"] = False
    return client.post("/practise", data={"level": "1"}).location


def test_every_form_of_ask_has_its_fields_and_nothing_of_the_answer(client: FlaskClient, address: str) -> None:
    page = client.get(address).text
    for ask, _ in ASKED:
        assert ask.question in page
    assert CANARY not in page
    assert "Not that one" not in page
    assert "checked" not in page
    assert "Caution" in page


def test_right_answers_in_any_unit_earn_all_marks(client: FlaskClient, address: str) -> None:
    answer = client.post(address, data=RIGHT)
    assert answer.status_code == 303
    page = client.get(answer.location).text
    assert "All right" in page
    assert "20 of 20" in page


def test_a_wrong_answer_is_answered_with_what_is_wrong_and_the_belief_behind_it(
    client: FlaskClient, address: str
) -> None:
    page = client.get(client.post(address, data={**RIGHT, "choice-one": "p", "sure-one": "3"}).location).text
    for part in (
        "Not that one.",
        "It trips at six.",
        "type B",
        "A danger would remain",
        "You were certain",
        "16 of 20",
        "RCD-07",
    ):
        assert part in page


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"choice-one": ""}, "Not answered yet."),
        ({"choice-one": "z"}, "Choose one of those listed."),
        ({"choice-several": ["p", "-"]}, "not both"),
        ({"choice-number": "six"}, "must be a number"),
        ({"choice-number": "6 V"}, "give it in mA"),
        ({"place-order-r": "2"}, "a place of its own, from 1 to 3"),
        ({"place-match-q": ""}, "Match every line."),
        ({"sure-one": "7"}, "from 0 to 3"),
        ({"other": "x"}, "fields that this task does not have"),
    ],
)
def test_a_form_that_cannot_be_marked_comes_back_as_it_was(
    client: FlaskClient, address: str, changes: dict[str, str], said: str
) -> None:
    answer = client.post(address, data={**RIGHT, **changes})
    assert answer.status_code == 400
    assert said in answer.text
    kept = "choice-number" not in changes
    assert ('value="0.006 A"' in answer.text) is kept
    assert re.search(r'value="q" checked', answer.text) or "choice-one" in changes


def test_none_of_them_is_an_answer(client: FlaskClient, address: str) -> None:
    answer = client.post(address, data={**RIGHT, "choice-several": "-"})
    assert "none of them" in client.get(answer.location).text


def _made(app: Flask, kind: str, **wanted: str) -> tuple[FlaskClient, str]:
    app.config["WTF_CSRF_ENABLED"] = False
    client = app.test_client()
    return client, client.post("/practise", data={"level": "1", "kind": kind, **wanted}).location


def _forms(page: str) -> list[dict[str, str]]:
    """The fields of every form that begins a task, with those of its buttons."""
    return [
        {field.get("name"): field.get("value") for field in form.xpath(".//*[@name]")}
        for form in html.fromstring(page).xpath('//form[@action="/practise"]')
    ]


def test_after_a_wrong_short_question_the_next_is_on_the_same_point(app: Flask) -> None:
    client, address = _made(app, "question", family="device_that_smooth_dc_blinds")
    choices = html.fromstring(client.get(address).text).xpath('//input[@type="radio"][starts-with(@name, "choice-")]')
    pages = []
    for number, each in enumerate(choices, start=1):
        answer = {each.get("name"): each.get("value"), "attempt": str(number)}
        pages.append(client.get(client.post(address, data=answer).location).text)
    wrong = next(each for each in pages if "Not right" in each)
    right = next(each for each in pages if "All right" in each)
    again = {"family": "device_that_smooth_dc_blinds", "kind": "question"}
    assert [form for form in _forms(wrong) if again.items() <= form.items()]
    assert html.fromstring(wrong).xpath('//form[@action="/practise"]//a[@href="/notes/LO03"]')
    # Whoever erred finds the same point first, whoever did not the next question.
    main = [html.fromstring(each).xpath('//form[@id="next"]//button[@class="button"]')[0] for each in (wrong, right)]
    assert [each.text for each in main] == ["Another on this point", "Another short question"]


def test_a_code_that_was_wrong_is_followed_by_a_short_question_on_its_point(app: Flask) -> None:
    client, address = _made(app, "inspect")
    form = html.fromstring(client.get(address).text)
    answers = {
        each.get("name"): each.xpath(".//option/@value")[-1]
        for each in form.xpath('//select[starts-with(@name, "choice-")]')
    }
    for name in set(form.xpath('//input[@type="radio"]/@name[starts-with(., "choice-")]')):
        answers[name] = form.xpath(f'//input[@name="{name}"]/@value')[-1]
    page = client.get(client.post(address, data=answers).location).text
    offered = [each["family"] for each in _forms(page) if "family" in each]
    assert offered
    # Several codes that went wrong by one belief are one point.
    assert len(offered) == len(set(offered))
    for family in offered:
        assert client.post("/practise", data={"kind": "question", "level": "1", "family": family}).status_code == 303
