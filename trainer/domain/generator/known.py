"""Facts that the generator itself has set, taken out of fields that may be unknown."""

from __future__ import annotations

from typing import TypeVar

T = TypeVar("T")


def known(value: T | None) -> T:
    """The value itself. *Raises* LookupError for None: then a step of the generator was left out."""
    if value is None:
        raise LookupError("a fact that the generator should have set is not set")
    return value
