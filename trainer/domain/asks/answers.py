"""Answers in one spelling, so that they can be compared and stored as text.

One choice and a place are the id. Several are ids joined by ``+`` in the order of the choices,
an empty set is ``-``. An order is ids joined by ``>``. A match is ``id=partner`` joined by ``+``
in the order of the choices. A number is the number and its unit with a space between.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from trainer.domain.asks.forms import Ask, AskForm, AskKey
from trainer.domain.asks.units import NotANumberError, number_in
from trainer.domain.errors import Problem, TrainerError, unknown

NONE_OF_THEM = "-"
LONGEST_ANSWER = 2000
_SEVERAL, _THEN, _IS = "+", ">", "="


class AnswerError(TrainerError):
    """An answer that cannot be read."""


def canonical(ask: Ask, text: str) -> str:
    """The answer in its one spelling. *Raises* AnswerError with every problem."""
    if len(text) > LONGEST_ANSWER:
        raise AnswerError(_problem(ask, text[:40], f"is longer than {LONGEST_ANSWER} characters"))
    return _READERS[ask.form](ask, text.strip())


def is_right(ask: Ask, key: AskKey, answer: str) -> bool:
    """True when a canonical answer is one of the right ones, a number within the tolerance."""
    if ask.form is not AskForm.NUMBER:
        return answer in key.answers
    return any(_is_near(ask, answer, right, key.tolerance) for right in key.answers)


def is_near(ask: Ask, answer: str, other: str, tolerance: float) -> bool:
    """True when two canonical answers are the same, numbers within a tolerance in the ask's unit."""
    return answer == other if ask.form is not AskForm.NUMBER else _is_near(ask, answer, other, tolerance)


def number_answer(value: float, unit: str) -> str:
    """A number in the spelling of answers."""
    return f"{value:.9g} {unit}".strip()


def order_answer(ids: Iterable[str]) -> str:
    """An order in the spelling of answers."""
    return _THEN.join(ids)


def several_answer(ask_choices: Sequence[str], chosen: Iterable[str]) -> str:
    """A set of choices in the spelling of answers."""
    taken = set(chosen)
    return _SEVERAL.join(each for each in ask_choices if each in taken) or NONE_OF_THEM


def match_answer(pairs: Iterable[tuple[str, str]]) -> str:
    """Pairs, in the order of the choices, in the spelling of answers."""
    return _SEVERAL.join(f"{left}{_IS}{right}" for left, right in pairs)


def told(ask: Ask, answer: str) -> str:
    """An answer in words, for people."""
    if answer == NONE_OF_THEM:
        return "none of them"
    if ask.form is AskForm.SEVERAL:
        return "; ".join(ask.label(each) for each in answer.split(_SEVERAL))
    if ask.form is AskForm.ORDER:
        return ", then ".join(ask.label(each) for each in answer.split(_THEN))
    if ask.form is AskForm.MATCH:
        pairs = (pair.split(_IS) for pair in answer.split(_SEVERAL))
        return "; ".join(f"{ask.label(left)}: {ask.label(right)}" for left, right in pairs)
    return answer if ask.form is AskForm.NUMBER else ask.label(answer)


def _is_near(ask: Ask, answer: str, other: str, tolerance: float) -> bool:
    # A value that stands exactly on the tolerance is within it, whatever binary fractions make of it.
    difference = abs(number_in(answer, ask.unit) - number_in(other, ask.unit))
    return round(difference, 9) <= round(tolerance, 9)


def _one(ask: Ask, text: str) -> str:
    if text not in {each.id for each in ask.choices}:
        raise AnswerError(_unknown(ask, text))
    return text


def _several(ask: Ask, text: str) -> str:
    chosen = [] if text == NONE_OF_THEM else [each.strip() for each in text.split(_SEVERAL)]
    _check_ids(ask, chosen)
    return several_answer([each.id for each in ask.choices], chosen)


def _order(ask: Ask, text: str) -> str:
    given = [each.strip() for each in text.split(_THEN)]
    _check_ids(ask, given)
    missing = [each.id for each in ask.choices if each.id not in given]
    if missing:
        raise AnswerError(_problem(ask, text, f"must put everything in order; left out: {', '.join(missing)}"))
    return order_answer(given)


def _match(ask: Ask, text: str) -> str:
    pairs: dict[str, str] = {}
    for part in text.split(_SEVERAL):
        left, _, right = (each.strip() for each in part.partition(_IS))
        if left in pairs:
            raise AnswerError(_problem(ask, text, f"names {left} more than once"))
        pairs[left] = right
    _check_ids(ask, list(pairs))
    partners = [each.id for each in ask.partners]
    problems = [
        unknown(f"answers.{ask.id}", each, partners, "partner") for each in pairs.values() if each not in partners
    ]
    missing = [each.id for each in ask.choices if each.id not in pairs]
    if missing:
        problems.append(_problem(ask, text, f"must match everything; left out: {', '.join(missing)}"))
    if problems:
        raise AnswerError(*problems)
    return match_answer((each.id, pairs[each.id]) for each in ask.choices)


def _number(ask: Ask, text: str) -> str:
    try:
        return number_answer(round(number_in(text, ask.unit), 9), ask.unit)
    except NotANumberError as error:
        raise AnswerError(_problem(ask, text, str(error))) from error


def _check_ids(ask: Ask, given: list[str]) -> None:
    ids = [each.id for each in ask.choices]
    problems = [_unknown(ask, each) for each in given if each not in ids]
    problems += [
        _problem(ask, each, "is named more than once") for each in dict.fromkeys(given) if given.count(each) > 1
    ]
    if problems:
        raise AnswerError(*problems)


def _unknown(ask: Ask, value: str) -> Problem:
    return unknown(f"answers.{ask.id}", value, [each.id for each in ask.choices], "choice")


def _problem(ask: Ask, value: str, problem: str) -> Problem:
    return Problem(path=f"answers.{ask.id}", value=value, problem=problem)


_READERS = {
    AskForm.ONE: _one,
    AskForm.POINT: _one,
    AskForm.SEVERAL: _several,
    AskForm.ORDER: _order,
    AskForm.MATCH: _match,
    AskForm.NUMBER: _number,
}
