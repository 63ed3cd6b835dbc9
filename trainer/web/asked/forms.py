"""The form of what is asked: one field or several for each ask; everything wrong is said at once."""

from __future__ import annotations

from collections.abc import Sequence

from flask_babel import gettext
from werkzeug.datastructures import MultiDict

from trainer.domain.asks.answers import AnswerError, canonical, match_answer, order_answer, several_answer
from trainer.domain.asks.forms import Ask, AskForm
from trainer.web.practice.forms import CERTAINTY, CHOICE, Filled

PLACE = "place-"
_OWN = frozenset({"csrf_token", "attempt"})


def field_of(ask: Ask, choice_id: str) -> str:
    """The name of the field for one choice of an order or a match."""
    return f"{PLACE}{ask.id}-{choice_id}"


def read(form: MultiDict[str, str], asks: Sequence[Ask]) -> Filled:
    """Reads a form that was sent; ``problems`` is empty exactly if it can be marked."""
    answers: dict[str, str] = {}
    certainty: dict[str, int] = {}
    problems: dict[str, str] = {}
    for ask in asks:
        given = _given(ask, form)
        if not given:
            problems[ask.id] = gettext("Not answered yet.")
        else:
            answers[ask.id] = given
            problem = _problem(ask, given)
            if problem:
                problems[ask.id] = problem
        sure = form.get(CERTAINTY + ask.id, "")
        if sure in ("0", "1", "2", "3"):
            certainty[ask.id] = int(sure)
        elif sure:
            problems[ask.id] = gettext("How sure you are goes from 0 to 3.")
    if set(form) - {name for ask in asks for name in _names(ask)} - _OWN:
        problems[""] = gettext("The form held fields that this task does not have; nothing was marked.")
    return Filled(answers=answers, certainty=certainty, problems=problems)


def _names(ask: Ask) -> list[str]:
    fields = [field_of(ask, each.id) for each in ask.choices]
    return [CHOICE + ask.id, CERTAINTY + ask.id, *fields]


def _given(ask: Ask, form: MultiDict[str, str]) -> str:
    """The answer as text, empty where nothing was said."""
    ids = [each.id for each in ask.choices]
    chosen = [each.strip() for each in form.getlist(CHOICE + ask.id) if each.strip()]
    if ask.form is AskForm.SEVERAL:
        # Unknown ids stay in, so that the check names them.
        return several_answer(ids, chosen) if chosen and set(chosen) <= set(ids) else "+".join(chosen)
    if ask.form is AskForm.ORDER:
        return _order(ask, form)
    if ask.form is AskForm.MATCH:
        pairs = [(each, form.get(field_of(ask, each), "")) for each in ids]
        return match_answer(pair for pair in pairs if pair[1])
    return chosen[0] if len(chosen) == 1 else ">".join(chosen)


def _order(ask: Ask, form: MultiDict[str, str]) -> str:
    """The choices by the number given to each; equal numbers keep both, which the check then names."""
    numbered = [(form.get(field_of(ask, each.id), ""), each.id) for each in ask.choices]
    placed = sorted((int(number[:3]), each) for number, each in numbered if number.isascii() and number.isdigit())
    numbers = [number for number, _ in placed]
    if len(set(numbers)) < len(numbers):
        return ">".join([placed[0][1]] * 2)
    return order_answer(each for _, each in placed)


def _problem(ask: Ask, given: str) -> str:
    """What is wrong with an answer, in words for people; empty where nothing is."""
    try:
        canonical(ask, given)
    except AnswerError as error:
        return _words(ask, error)
    return ""


def _words(ask: Ask, error: AnswerError) -> str:
    words = {
        AskForm.ORDER: gettext("Give each a place of its own, from 1 to %(last)s.", last=len(ask.choices)),
        AskForm.MATCH: gettext("Match every line."),
        AskForm.SEVERAL: gettext("Tick what is right, or none of them, not both."),
        AskForm.NUMBER: gettext("This %(problem)s.", problem=error.problems[0].problem),
    }
    return str(words.get(ask.form) or gettext("Choose one of those listed."))
