"""Tasks that ask, from the form to the explained result, as a browser without script does it."""

from __future__ import annotations

import itertools
import re

import pytest
from flask import Flask
from flask.testing import FlaskClient

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
