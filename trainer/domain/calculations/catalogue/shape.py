"""What a calculation that can be asked for by name looks like: parameters, result, terms with sources."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from trainer.domain.citations import Citation
from trainer.domain.findings import within
from trainer.domain.limits import Limit, Limits, Table
from trainer.domain.vocabulary import Outcome

GIVEN = "given"
Pairs = tuple[tuple[str, float], ...]
Values = Mapping[str, "float | str | Pairs"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Parameter:
    """One input: its name with the unit at the end, its symbol or short name, and its bounds.

    ``choices`` makes it a word. Without ``required`` it may be left out. ``many`` takes pairs of a
    word and a number, as often as wanted. ``whole`` asks for a number that is counted.
    """

    name: str
    short: str
    label: str
    unit: str = ""
    required: bool = True
    minimum: float | None = 0.0
    maximum: float | None = None
    whole: bool = False
    choices: tuple[str, ...] = ()
    many: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SourcedTerm:
    """One value of a calculation: given, or with the source it was taken from."""

    name: str
    value: float
    unit: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """The value of a calculation with its terms, and the limit it is compared with, if any."""

    value: float
    unit: str
    terms: tuple[SourcedTerm, ...] = field(default=())
    limit: float | None = None
    outcome: Outcome | None = None
    citation: Citation


@dataclass(frozen=True, slots=True, kw_only=True)
class Calculation:
    """A calculation by name: what it gives, its formula, its parameters and its function."""

    name: str
    title: str
    formula: str
    parameters: tuple[Parameter, ...]
    compute: Callable[[Values, Limits], Result]


def number(values: Values, name: str) -> float | None:
    """A number among the values, or None where it was left out."""
    value = values.get(name)
    return value if isinstance(value, float | int) else None


def word(values: Values, name: str) -> str | None:
    """A word among the values, or None where it was left out."""
    value = values.get(name)
    return value if isinstance(value, str) else None


def pairs(values: Values, name: str) -> Pairs:
    """Pairs of a word and a number among the values, in the order in which they were given."""
    value = values.get(name, ())
    return value if isinstance(value, tuple) else ()


def needed(values: Values, name: str) -> float:
    """A number that the catalogue marks as required."""
    value = values[name]
    if not isinstance(value, float | int):
        raise TypeError(f"{name} is not a number: {value!r}")
    return value


def source(citation: Citation) -> str:
    """A citation in one line, with its status."""
    return f"{citation.publication}, {citation.clause} ({citation.status.value})"


def given(name: str, value: float, unit: str) -> SourcedTerm:
    """A term that whoever asks has given."""
    return SourcedTerm(name=name, value=value, unit=unit, source=GIVEN)


def taken(name: str, value: float, origin: Limit | Table, unit: str | None = None) -> SourcedTerm:
    """A term taken from a limit or a table."""
    return SourcedTerm(
        name=name, value=value, unit=origin.unit if unit is None else unit, source=source(origin.citation)
    )


def compared(value: float, limit: float | None, *, at_least: bool = False) -> Outcome | None:
    """Complies or not against a limit; None without one."""
    if limit is None:
        return None
    holds = within(limit, value) if at_least else within(value, limit)
    return Outcome.COMPLIES if holds else Outcome.DOES_NOT_COMPLY
