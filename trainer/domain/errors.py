"""Errors that say what is wrong, where, with which value, and what to do next."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One thing that is wrong with an input: its place, its value and what would be possible."""

    path: str
    problem: str
    value: str | float | None = None
    possible: tuple[str, ...] = ()
    nearest: str | None = None

    def __str__(self) -> str:
        """One line for people."""
        text = f"{self.path}: {self.problem}" if self.path else self.problem
        if self.value is not None:
            text += f" (given: {self.value})"
        if self.nearest is not None:
            text += f"; nearest: {self.nearest}"
        elif self.possible:
            text += f"; possible: {', '.join(self.possible)}"
        return text


class TrainerError(Exception):
    """An input that cannot be used. Carries every problem found, not only the first."""

    def __init__(self, *problems: Problem) -> None:
        self.problems = problems
        super().__init__("\n".join(str(problem) for problem in problems))


class InstallationError(TrainerError):
    """An installation that contradicts itself or cannot be read."""


class UnknownNameError(TrainerError):
    """A name that stands in none of the lists."""


class OutOfRangeError(TrainerError):
    """A number outside the range in which it has a meaning."""


def unknown(path: str, value: str, possible: Iterable[str], what: str) -> Problem:
    """A problem for a name that is not among the possible ones, with the nearest match."""
    names = tuple(possible)
    matches = get_close_matches(value, names, n=1, cutoff=0.5)
    return Problem(
        path=path,
        value=value,
        problem=f"unknown {what}",
        possible=names,
        nearest=matches[0] if matches else None,
    )
