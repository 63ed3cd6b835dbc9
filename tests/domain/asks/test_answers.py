"""Answers in one spelling, numbers with units, and marks."""

from __future__ import annotations

import pytest

from trainer.domain.asks.answers import AnswerError, canonical, is_right, told
from trainer.domain.asks.forms import Ask, AskForm, AskKey, Choice
from trainer.domain.asks.units import NotANumberError, number_in
from trainer.domain.vocabulary import Consequence

THREE = (Choice(id="a", label="type A"), Choice(id="b", label="type B"), Choice(id="f", label="type F"))
SIDES = (Choice(id="x", label="6 mA"), Choice(id="y", label="10 mA"), Choice(id="z", label="60 mA"))


def ask(form: AskForm, *, unit: str = "") -> Ask:
    return Ask(id="q1", question="?", form=form, choices=THREE, partners=SIDES, unit=unit)


def key(*answers: str, tolerance: float = 0.0) -> AskKey:
    return AskKey(answers=answers, why="because", consequence=Consequence.SHOCK, tolerance=tolerance)


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("30 mA", "A", 0.03),
        ("0.03", "A", 0.03),
        ("1.37 ohm", "ohm", 1.37),
        ("1370 mΩ", "ohm", 1.37),
        ("1,200 V", "V", 1200.0),
        ("−5 °C", "degC", -5.0),
        ("40 ms", "s", 0.04),
        ("6e3 A", "kA", 6.0),
    ],
)
def test_a_number_is_understood_in_another_unit_of_the_same_kind(text: str, unit: str, value: float) -> None:
    assert number_in(text, unit) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "unit"), [("30 V", "A"), ("", "A"), ("mA", "A"), ("3 apples", "A"), ("-", "V"), ("1..2", "V")]
)
def test_what_is_no_number_of_the_kind_is_refused(text: str, unit: str) -> None:
    with pytest.raises(NotANumberError):
        number_in(text, unit)


def test_a_wrong_unit_is_answered_with_the_right_ones() -> None:
    with pytest.raises(AnswerError, match=r"is in V; give it in mA \(A, kA are understood too\)"):
        canonical(ask(AskForm.NUMBER, unit="mA"), "30 V")


def test_a_number_on_the_tolerance_is_right_and_one_beyond_it_is_not() -> None:
    asked, right = ask(AskForm.NUMBER, unit="ohm"), key("1.37 ohm", tolerance=0.01)
    assert is_right(asked, right, canonical(asked, "1.38"))
    assert is_right(asked, right, canonical(asked, "1360 mohm"))
    assert not is_right(asked, right, canonical(asked, "1.381"))


def test_several_choices_are_a_set_whatever_their_order() -> None:
    asked = ask(AskForm.SEVERAL)
    assert canonical(asked, "f + a") == "a+f"
    assert is_right(asked, key("a+f"), canonical(asked, "f+a"))
    assert canonical(asked, "-") == "-"
    assert not is_right(asked, key("a+f"), canonical(asked, "a"))


def test_an_order_needs_everything_once() -> None:
    asked = ask(AskForm.ORDER)
    assert canonical(asked, "a > f > b") == "a>f>b"
    with pytest.raises(AnswerError, match="left out: f"):
        canonical(asked, "a>b")
    with pytest.raises(AnswerError, match="more than once"):
        canonical(asked, "a>b>b>f")


def test_a_match_pairs_every_choice_and_may_use_a_partner_twice() -> None:
    asked = ask(AskForm.MATCH)
    assert canonical(asked, "f=y+a=x+b=z") == "a=x+b=z+f=y"
    assert canonical(asked, "a=x+b=x+f=x") == "a=x+b=x+f=x"
    with pytest.raises(AnswerError, match="left out: f"):
        canonical(asked, "a=x+b=z")
    with pytest.raises(AnswerError, match="unknown partner"):
        canonical(asked, "a=x+b=z+f=w")


def test_answers_are_told_in_words() -> None:
    assert told(ask(AskForm.SEVERAL), "a+f") == "type A; type F"
    assert told(ask(AskForm.ORDER), "b>a>f") == "type B, then type A, then type F"
    assert told(ask(AskForm.MATCH), "a=x+b=z+f=y") == "type A: 6 mA; type B: 60 mA; type F: 10 mA"
    assert told(ask(AskForm.SEVERAL), "-") == "none of them"
    assert told(ask(AskForm.NUMBER, unit="ohm"), "1.37 ohm") == "1.37 ohm"


def test_an_unknown_choice_names_the_possible_ones() -> None:
    with pytest.raises(AnswerError, match="unknown choice"):
        canonical(ask(AskForm.ONE), "c")


def test_an_endless_answer_is_refused() -> None:
    with pytest.raises(AnswerError, match="longer than"):
        canonical(ask(AskForm.NUMBER, unit="A"), "1" * 5000)
