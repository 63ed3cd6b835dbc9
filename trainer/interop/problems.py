"""Problems of an input, in words that are safe to print and as JSON."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from trainer.domain.errors import Problem

_SHOWN_CHARACTERS = 80
PROBLEMS_MAXIMUM = 200
_EXACT = 2**53
_WORDS: dict[type, str] = {dict: "a table", list: "a list", type(None): "null"}


def shown(value: object) -> str | float:
    """A value as an error may show it: short, printable, and never the content of a whole table."""
    if not isinstance(value, str):
        for kind, words in _WORDS.items():
            if isinstance(value, kind):
                return words
        if isinstance(value, bool):
            return "true" if value else "false"
        if isinstance(value, int | float) and abs(value) < _EXACT:
            return value
    text = "a number of more than 15 digits" if isinstance(value, int) else str(value)
    short = text if len(text) <= _SHOWN_CHARACTERS else f"{text[: _SHOWN_CHARACTERS - 3]}..."
    return short if short.isprintable() else ascii(short)


def limited(problems: Sequence[Problem]) -> tuple[Problem, ...]:
    """At most 200 problems; a last one counts those that are not listed."""
    if len(problems) <= PROBLEMS_MAXIMUM:
        return tuple(problems)
    more = len(problems) - PROBLEMS_MAXIMUM
    return (*problems[:PROBLEMS_MAXIMUM], Problem(path="", problem=f"{more} further problems are not listed"))


def errors_json(problems: Sequence[Problem]) -> dict[str, Any]:
    """The object that a command prints for machines instead of a result."""
    return {
        "errors": [
            {
                "path": problem.path,
                "value": _as_json(problem.value),
                "problem": problem.problem,
                "possible": list(problem.possible),
                "nearest": problem.nearest,
            }
            for problem in problems
        ]
    }


def _as_json(value: str | float | None) -> str | float | None:
    """JSON has no infinite number: it stands as a word."""
    return str(value) if isinstance(value, float) and not math.isfinite(value) else value
