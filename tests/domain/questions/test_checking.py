"""What the proof of a question refuses, one reason at a time."""

from __future__ import annotations

from dataclasses import replace

import pytest

from trainer.domain.asks.forms import Ask, AskForm, AskKey, Choice, Wrong
from trainer.domain.questions.checking import unfair
from trainer.domain.questions.drafts import Draft
from trainer.domain.questions.registry import family_of
from trainer.domain.vocabulary import Consequence

FAMILY = replace(family_of("least_type_for_a_load"), misconceptions=("M01", "M02"))
DRAFT = Draft(answers=("a",), slips=())
ONE = Ask(
    id="question",
    question="Which?",
    form=AskForm.ONE,
    choices=(Choice(id="a", label="A"), Choice(id="b", label="B"), Choice(id="c", label="C")),
)
WRONGS = (Wrong(answer="b", misconception="M01", why="no"), Wrong(answer="c", misconception="M02", why="no"))
ONE_KEY = AskKey(answers=("a",), why="yes", consequence=Consequence.SHOCK, wrongs=WRONGS)
NUMBER = Ask(id="question", question="How much?", form=AskForm.NUMBER, unit="A")


def number_key(*wrong: str, tolerance: float = 0.1) -> AskKey:
    wrongs = tuple(Wrong(answer=each, misconception="M01", why="no") for each in wrong)
    return AskKey(answers=("10 A",), why="yes", consequence=Consequence.FIRE, wrongs=wrongs, tolerance=tolerance)


def test_a_fair_question_has_no_reason_against_it():
    assert unfair(FAMILY, DRAFT, ONE, ONE_KEY) == ""
    assert unfair(FAMILY, DRAFT, NUMBER, number_key("5 A", "20 A")) == ""


@pytest.mark.parametrize(
    ("ask", "key", "reason"),
    [
        (replace(ONE, choices=(*ONE.choices[:2], Choice(id="c", label="a"))), ONE_KEY, "two choices read alike"),
        (replace(ONE, choices=ONE.choices[:2]), replace(ONE_KEY, wrongs=WRONGS[:1]), "fewer than 3 choices"),
        (ONE, replace(ONE_KEY, wrongs=WRONGS[:1]), "fewer than 2 wrong answers"),
        (ONE, replace(ONE_KEY, answers=("a", "b")), "the wrong answer b is right"),
        (ONE, replace(ONE_KEY, wrongs=(WRONGS[0], replace(WRONGS[1], misconception="M03"))), "M03 is not among"),
        (ONE, replace(ONE_KEY, wrongs=(WRONGS[0], replace(WRONGS[1], answer="d"))), "d cannot be given"),
        (ONE, replace(ONE_KEY, wrongs=(WRONGS[0], WRONGS[0])), "two wrong answers coincide: b and b"),
        (NUMBER, number_key("5 A", "10.05 A"), "the wrong answer 10.05 A is right"),
        (NUMBER, number_key("5 A", "10.15 A"), "10.15 lies too near to the right one 10"),
        (NUMBER, number_key("5 A", "5.1 A"), "two wrong answers coincide"),
        (NUMBER, number_key("5 A", "20000 A"), "20000 is not plausible beside 10"),
        (NUMBER, number_key("5 A", "20.00 A"), "20.00 A is not in the one spelling"),
    ],
)
def test_an_unfair_question_is_refused_with_its_reason(ask, key, reason):
    assert reason in unfair(FAMILY, DRAFT, ask, key)


def test_a_choice_without_a_reason_is_refused():
    four = replace(ONE, choices=(*ONE.choices, Choice(id="d", label="D")))
    assert unfair(FAMILY, DRAFT, four, ONE_KEY) == "d is neither right nor explained"


@pytest.mark.parametrize(("value", "fair"), [(94.9, True), (95.1, False), (104.9, False), (105.1, True)])
def test_a_value_within_five_per_cent_of_its_limit_is_refused(value, fair):
    draft = replace(DRAFT, margins=((value, 100.0),))
    assert (unfair(FAMILY, draft, ONE, ONE_KEY) == "") is fair
