"""Neutral ids for what a question offers, so that the page does not tell which choice a family calls right.

The choices become a, b, c in the order in which they are shown, the partners of a match 1, 2, 3. Places
keep their paths, and numbers have nothing to rename.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from string import ascii_lowercase

from trainer.domain.asks.answers import NONE_OF_THEM, match_answer, order_answer, several_answer
from trainer.domain.asks.forms import Ask, AskForm, AskKey, Choice

Names = Mapping[str, str]
_AS_THEY_ARE = frozenset({AskForm.NUMBER, AskForm.POINT})


def neutral(ask: Ask, key: AskKey) -> tuple[Ask, AskKey]:
    """The question with neutral ids in choices, partners and answers."""
    if ask.form in _AS_THEY_ARE:
        return ask, key
    choices = dict(zip((each.id for each in ask.choices), ascii_lowercase, strict=False))
    partners = {each.id: str(number) for number, each in enumerate(ask.partners, 1)}
    renamed = replace(ask, choices=_renamed(ask.choices, choices), partners=_renamed(ask.partners, partners))
    return renamed, with_names(key, ask.form, choices, partners)


def with_names(key: AskKey, form: AskForm, choices: Names, partners: Names) -> AskKey:
    """The key with other names for choices and partners."""
    return replace(
        key,
        answers=tuple(_answer(each, form, choices, partners) for each in key.answers),
        wrongs=tuple(replace(each, answer=_answer(each.answer, form, choices, partners)) for each in key.wrongs),
    )


def _renamed(choices: tuple[Choice, ...], names: Names) -> tuple[Choice, ...]:
    return tuple(replace(each, id=names[each.id]) for each in choices)


def _answer(answer: str, form: AskForm, choices: Names, partners: Names) -> str:
    if answer == NONE_OF_THEM:
        return answer
    if form is AskForm.ORDER:
        return order_answer(choices[each] for each in answer.split(">"))
    if form is AskForm.MATCH:
        pairs = (each.split("=") for each in answer.split("+"))
        return match_answer((choices[left], partners[right]) for left, right in pairs)
    if form is AskForm.SEVERAL:
        return several_answer(tuple(choices.values()), (choices[each] for each in answer.split("+")))
    return choices[answer]
