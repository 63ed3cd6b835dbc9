"""Options judged by the rules: which houses pass, and the questions that follow from it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from trainer.domain.installation import Installation
from trainer.domain.questions.answering import Reason, several
from trainer.domain.questions.desk import Desk
from trainer.domain.questions.drafts import RedrawError, Slip

Houses = Mapping[str, Installation]


def passing(desk: Desk, houses: Houses, rules: Iterable[str]) -> list[str]:
    """The options whose house none of the rules fails."""
    held = tuple(rules)
    return [name for name, of in houses.items() if not any(desk.fails(rule, of) for rule in held)]


def failing(desk: Desk, houses: Houses, rules: Iterable[str]) -> list[str]:
    """The options whose house some of the rules fails."""
    passed = passing(desk, houses, rules)
    return [name for name in houses if name not in passed]


def only_passing(desk: Desk, houses: Houses, rules: Iterable[str]) -> str:
    """The one option that passes. *Raises* RedrawError where it is not exactly one."""
    found = passing(desk, houses, rules)
    if len(found) != 1:
        raise RedrawError(f"{len(found)} options comply where one should")
    return found[0]


def first_passing(desk: Desk, houses: Houses, rules: Iterable[str]) -> str:
    """The first option that passes, in the order of the houses. *Raises* RedrawError where none does."""
    found = passing(desk, houses, rules)
    if not found:
        raise RedrawError("no option complies")
    return found[0]


def with_one_more(ids: Sequence[str], right: Iterable[str], reasons: Mapping[str, Reason]) -> tuple[Slip, ...]:
    """Wrong sets in which one wrong option was taken along."""
    taken = tuple(right)
    return tuple(
        Slip(answer=several(ids, (*taken, each)), misconception=misconception, why=why)
        for each, (misconception, why) in reasons.items()
        if each in ids and each not in taken
    )


def with_one_less(ids: Sequence[str], right: Iterable[str], reasons: Mapping[str, Reason]) -> tuple[Slip, ...]:
    """Wrong sets in which one right option was left out."""
    taken = tuple(right)
    return tuple(
        Slip(answer=several(ids, (one for one in taken if one != each)), misconception=misconception, why=why)
        for each, (misconception, why) in reasons.items()
        if each in taken
    )


def drawn_evenly(desk: Desk, good: Sequence[str], bad: Sequence[str], each: int) -> list[str]:
    """Twice ``each`` options in a drawn order, of which about half comply: one more or less, so that nobody can count.

    *Raises* RedrawError where there are too few on one side.
    """
    taken = each + desk.draws.choice((-1, 0, 0, 1))
    if len(good) < taken or len(bad) < 2 * each - taken:
        raise RedrawError("too few options on one side")
    return desk.draws.shuffled([*desk.draws.shuffled(good)[:taken], *desk.draws.shuffled(bad)[: 2 * each - taken]])
