"""Calculations that several rules ask for, done once for each house and subject."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, TypeVar

from trainer.domain.installation import Installation
from trainer.domain.limits import Limits

Subject = TypeVar("Subject")
Result = TypeVar("Result")
Calculation = Callable[[Installation, Subject, Limits], Result]


def once(compute: Calculation[Subject, Result]) -> Calculation[Subject, Result]:
    """The same calculation, whose result the house remembers beside the subject and the limits it is for.

    A house never changes; one with open decisions drops what it remembered since a decision was
    read when that decision changes. A fact that is missing is looked for again each time.
    """

    @wraps(compute)
    def asked(house: Installation, subject: Subject, limits: Limits) -> Result:
        memory: dict[Any, Any] = house._memory  # noqa: SLF001 - the house keeps it for those who ask about it
        key = (compute, id(subject))
        held = memory.get(key)
        if held is not None and held[0] is subject and held[1] is limits:
            return held[2]  # type: ignore[no-any-return]
        result = compute(house, subject, limits)
        memory.pop(key, None)
        memory[key] = (subject, limits, result)
        return result

    return asked
