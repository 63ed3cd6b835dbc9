"""Marks for what was asked."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.domain.asks.tasks import task_of
from trainer.domain.answers.decisions import ProposalError
from trainer.domain.asks.answers import AnswerError
from trainer.domain.asks.forms import Ask, AskForm, AskKey, Choice, Wrong
from trainer.domain.asks.marking import grade_asks
from trainer.domain.vocabulary import Consequence

TYPE = Ask(
    id="type",
    question="Which type?",
    form=AskForm.ONE,
    choices=(Choice(id="a", label="type A"), Choice(id="b", label="type B")),
)
TYPE_KEY = AskKey(
    answers=("b",),
    why="it detects smooth d.c.",
    consequence=Consequence.SHOCK,
    wrongs=(Wrong(answer="a", misconception="M02", why="it does not"),),
    leaves_hazard=True,
)
NUMBER = Ask(id="zs", question="Zs?", form=AskForm.NUMBER, unit="ohm")
NUMBER_KEY = AskKey(
    answers=("1.37 ohm",),
    why="Table",
    consequence=Consequence.VERIFICATION,
    tolerance=0.01,
    wrongs=(Wrong(answer="1.1 ohm", misconception="M30", why="0.8 taken twice"),),
)
TASK = task_of({TYPE: TYPE_KEY, NUMBER: NUMBER_KEY})


def test_right_answers_earn_the_marks_of_what_they_risk() -> None:
    # Shock 4, verification 1: the weights of the marking scheme.
    result = grade_asks(TASK, {"type": "b", "zs": "1.37"})
    assert (result.marks, result.marks_available) == (5, 5)
    assert result.safe_to_energise
    assert result.least_change == ()


def test_a_known_wrong_answer_names_its_misconception_and_a_hazard_is_said() -> None:
    result = grade_asks(TASK, {"type": "a", "zs": "1.105 ohm"}, certainty={"type": 3})
    first, second = result.decisions
    assert (first.misconception, first.marks, first.certainty) == ("M02", 0, 3)
    assert second.misconception == "M30"
    assert not result.safe_to_energise
    assert [(each.chosen, each.instead) for each in result.least_change] == [("a", "b"), ("1.105 ohm", "1.37 ohm")]


def test_a_wrong_number_alone_leaves_no_hazard() -> None:
    assert grade_asks(TASK, {"type": "b", "zs": "9"}).safe_to_energise


def test_every_problem_is_said_at_once() -> None:
    with pytest.raises(AnswerError) as caught:
        grade_asks(TASK, {"zs": "9 V", "tipe": "b"})
    assert [each.path for each in caught.value.problems] == ["answers.tipe", "answers.type", "answers.zs"]


def test_the_usual_answer_counts_where_nothing_is_said() -> None:
    task = task_of({replace(TYPE, usual="a"): TYPE_KEY})
    assert grade_asks(task, {}).decisions[0].chosen == "a"


def test_certainty_is_checked_as_for_decisions() -> None:
    with pytest.raises(ProposalError):
        grade_asks(TASK, {"type": "b", "zs": "1.37"}, certainty={"type": 4})
