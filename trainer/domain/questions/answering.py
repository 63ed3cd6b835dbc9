"""Short ways to write the usual shapes of a draft."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from trainer.domain.asks.answers import match_answer, number_answer, order_answer, several_answer
from trainer.domain.asks.forms import Choice
from trainer.domain.installation import Installation
from trainer.domain.questions.drafts import RedrawError, Slip

Reason = tuple[str, str]
"""A misconception, and the key of the words that say what is wrong."""


def number(value: float, unit: str, places: int) -> str:
    """A number, rounded as it is asked for, in the spelling of answers."""
    return number_answer(round(value, places), unit)


def number_slips(values: Mapping[Reason, float], unit: str, places: int) -> tuple[Slip, ...]:
    """Wrong numbers by misconception and words."""
    return tuple(
        Slip(answer=number(value, unit, places), misconception=misconception, why=why)
        for (misconception, why), value in values.items()
    )


def slips(answers: Mapping[str, Reason]) -> tuple[Slip, ...]:
    """Wrong answers in their spelling, with misconception and words."""
    return tuple(Slip(answer=answer, misconception=m, why=why) for answer, (m, why) in answers.items())


def others(ids: Iterable[str], right: str, reason: Callable[[str], Reason]) -> tuple[Slip, ...]:
    """A wrong answer of every choice but the right one."""
    return slips({each: reason(each) for each in ids if each != right})


def the_only(ids: Iterable[str], holds: Callable[[str], bool]) -> str:
    """The one choice for which something holds. *Raises* RedrawError where it is not exactly one."""
    found = [each for each in ids if holds(each)]
    if len(found) != 1:
        raise RedrawError(f"{len(found)} choices are right where one should be")
    return found[0]


def several(order: Sequence[str], chosen: Iterable[str]) -> str:
    """A set of choices in the spelling of answers."""
    return several_answer(order, chosen)


def several_slips(order: Sequence[str], sets: Mapping[Reason, Iterable[str]], right: str) -> tuple[Slip, ...]:
    """Wrong sets by misconception and words; one that is right or was there before is left out."""
    seen = {right}
    found = []
    for (misconception, why), chosen in sets.items():
        answer = several_answer(order, chosen)
        if answer not in seen:
            seen.add(answer)
            found.append(Slip(answer=answer, misconception=misconception, why=why))
    return tuple(found)


def match(ids: Sequence[str], partner: Mapping[str, str]) -> str:
    """Pairs in the spelling of answers."""
    return match_answer((each, partner[each]) for each in ids)


def order(ids: Iterable[str]) -> str:
    """An order in the spelling of answers."""
    return order_answer(ids)


def places(of: Installation, paths: Iterable[str]) -> tuple[Choice, ...]:
    """Records of a house to point at, called as they are labelled."""
    found = []
    for path in paths:
        collection, _, name = path.partition(".")
        found.append(Choice(id=path, label=getattr(of, collection)[name].label))
    return tuple(found)
