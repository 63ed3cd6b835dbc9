"""The proof of a question: what is asked, chosen from and marked must be fair."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from trainer.domain.asks.answers import AnswerError, canonical, is_near, is_right
from trainer.domain.asks.forms import Ask, AskForm, AskKey
from trainer.domain.asks.units import number_in
from trainer.domain.generator.margin import BAND
from trainer.domain.questions.defining import Family
from trainer.domain.questions.drafts import Draft

_FEWEST_SLIPS = 2
_FEWEST_CHOICES = 3
_LARGEST_FACTOR = 1100.0
"""A wrong number may be off by a forgotten thousand, and no further."""


def unfair(family: Family, draft: Draft, ask: Ask, key: AskKey) -> str:
    """The first reason why a question is not fair; empty where it is."""
    return next(_reasons(family, draft, ask, key), "")


def _reasons(family: Family, draft: Draft, ask: Ask, key: AskKey) -> Iterator[str]:
    yield from _near_an_edge(draft)
    yield from _alike(ask)
    yield from _spelling(ask, key)
    yield from _slips(family, ask, key)
    if ask.form is AskForm.NUMBER:
        yield from _numbers(ask, key)


def _near_an_edge(draft: Draft) -> Iterator[str]:
    for value, limit in draft.margins:
        if abs(value - limit) < BAND * abs(limit):
            yield f"{value:g} lies within {BAND:.0%} of {limit:g}"


def _alike(ask: Ask) -> Iterator[str]:
    for side in (ask.choices, ask.partners):
        labels = [each.label.casefold() for each in side]
        ids = [each.id for each in side]
        if len(set(labels)) < len(labels) or len(set(ids)) < len(ids):
            yield "two choices read alike"
    if ask.form is not AskForm.NUMBER and len(ask.choices) < _FEWEST_CHOICES:
        yield f"fewer than {_FEWEST_CHOICES} choices"


def _spelling(ask: Ask, key: AskKey) -> Iterator[str]:
    for answer in (*key.answers, *(each.answer for each in key.wrongs)):
        try:
            if canonical(ask, answer) != answer:
                yield f"{answer} is not in the one spelling of answers"
        except AnswerError as error:
            yield f"{answer} cannot be given: {error}"


def _slips(family: Family, ask: Ask, key: AskKey) -> Iterator[str]:
    if len(key.wrongs) < _FEWEST_SLIPS:
        yield f"fewer than {_FEWEST_SLIPS} wrong answers are foreseen"
    for each in key.wrongs:
        if is_right(ask, key, each.answer):
            yield f"the wrong answer {each.answer} is right"
        if each.misconception not in family.misconceptions:
            yield f"{each.misconception} is not among the misconceptions of the family"
    for first, second in combinations(key.wrongs, 2):
        if is_near(ask, first.answer, second.answer, 2 * key.tolerance):
            yield f"two wrong answers coincide: {first.answer} and {second.answer}"
    if ask.form in (AskForm.ONE, AskForm.POINT):
        explained = {*key.answers, *(each.answer for each in key.wrongs)}
        yield from (f"{each.id} is neither right nor explained" for each in ask.choices if each.id not in explained)


def _numbers(ask: Ask, key: AskKey) -> Iterator[str]:
    right = number_in(key.model, ask.unit)
    for each in key.wrongs:
        wrong = number_in(each.answer, ask.unit)
        if abs(wrong - right) <= 2 * key.tolerance:
            yield f"the wrong number {wrong:g} lies too near to the right one {right:g}"
        if right > 0 and not right / _LARGEST_FACTOR < wrong < right * _LARGEST_FACTOR:
            yield f"the wrong number {wrong:g} is not plausible beside {right:g}"
