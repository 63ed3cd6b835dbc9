"""Changes that say the same thing in other words, found by trying all values that the compared fact can have.

A comparison with a member of a closed list is tried with every member, a number of phases with one and three. What
gives the same answer each time cannot be noticed by any test.
"""

from __future__ import annotations

import importlib
import operator
import re
from collections.abc import Callable, Iterable
from enum import StrEnum

MODULES = (
    *(f"domain.{each}" for each in ("vocabulary", "equipment", "cables", "devices", "notices", "supply", "citations")),
    *("domain.rules.registry", "domain.tasks", "services.papers.words", "services.people.words"),
    *("services.privacy.words", "services.sittings.records"),
)
COMPARE: dict[str, Callable[[object, object], bool]] = {
    "is not": operator.is_not,
    "is": operator.is_,
    "==": operator.eq,
    "!=": operator.ne,
    "<": operator.lt,  # type: ignore[dict-item]
    "<=": operator.le,  # type: ignore[dict-item]
    ">": operator.gt,  # type: ignore[dict-item]
    ">=": operator.ge,  # type: ignore[dict-item]
}
COMPARISON = re.compile(r"([\w.()\[\]]+) (is not|is|==|!=|<=|>=|<|>) ((?:[A-Z]\w+\.)?\w+)")


def _lists() -> dict[str, type[StrEnum]]:
    """The closed lists of the product, by name."""
    found: dict[str, type[StrEnum]] = {}
    for name in MODULES:
        module = importlib.import_module(f"trainer.{name}")
        found |= {
            key: each for key, each in vars(module).items() if isinstance(each, type) and issubclass(each, StrEnum)
        }
    return found


LISTS = _lists()


def _values(left: str, right: str) -> tuple[Iterable[object], object] | None:
    """What may stand on the left, and what stands on the right; None where that is not known."""
    name, _, member = right.partition(".")
    if name in LISTS and member:
        return LISTS[name], LISTS[name][member]
    if left.endswith("phases") and right.isdigit():
        return (1, 3), int(right)
    return None


def _answers(left: str, sign: str, right: str) -> list[bool] | None:
    known = _values(left, right)
    if known is None:
        return None
    values, other = known
    return [COMPARE[sign](value, other) for value in values]


def same_in_other_words(before: str, after: str) -> bool:
    """True when the one comparison that differs between two lines gives the same answer for every possible value."""
    old, new = COMPARISON.findall(before), COMPARISON.findall(after)
    differing = [(a, b) for a, b in zip(old, new, strict=False) if a != b]
    if len(old) != len(new) or len(differing) != 1:
        return False
    answers = [_answers(*each) for each in differing[0]]
    return answers[0] is not None and answers[0] == answers[1]
