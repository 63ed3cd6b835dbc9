"""What rules say: verdicts with value, limit and terms, and findings that carry their citation."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

from trainer.domain.citations import Citation
from trainer.domain.limits.loading import Limit
from trainer.domain.vocabulary import Consequence, Outcome

if TYPE_CHECKING:
    from trainer.domain.rules.registry import Rule

_PLACES = 6


class Term(NamedTuple):
    """One named part of a sum or of a formula."""

    name: str
    value: float
    unit: str


Terms = Sequence[Term] | Callable[[], Sequence[Term]]
Value = float | str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What a rule says of one subject, before it is tied to the rule and its citation.

    ``case`` selects the wording among a rule's cases; ``related`` names other records by path;
    ``terms`` may be a function, so that sums nobody reads are not spelt out. ``consequence``
    and ``citation`` replace those of the rule where a case differs from it.
    """

    outcome: Outcome
    value: Value = None
    limit: Value = None
    unit: str = ""
    terms: Terms = ()
    missing: tuple[str, ...] = ()
    case: str = ""
    related: tuple[str, ...] = ()
    consequence: Consequence | None = None
    citation: Citation | None = None


class _Written:
    """A verdict while it is being written: plain assignments fill it, then it becomes a Verdict and is closed.

    A frozen record fills its attributes by calls, which takes five times as long; rules give
    thousands of verdicts of which few are read.
    """

    __slots__ = Verdict.__slots__


def _verdict(
    outcome: Outcome,
    value: Value,
    limit: Value,
    unit: str,
    terms: Terms,
    case: str,
    related: tuple[str, ...],
    consequence: Consequence | None,
    citation: Citation | None = None,
) -> Verdict:
    """A verdict with nothing missing."""
    written: Any = _Written()
    written.outcome = outcome
    written.value = value
    written.limit = limit
    written.unit = unit
    written.terms = terms
    written.missing = ()
    written.case = case
    written.related = related
    written.consequence = consequence
    written.citation = citation
    written.__class__ = Verdict
    return written  # type: ignore[no-any-return]


@dataclass(frozen=True, slots=True)
class Finding:
    """One rule's verdict on one subject. ``subject`` is a path such as ``devices.way6``."""

    rule: Rule
    subject: str
    verdict: Verdict

    @property
    def outcome(self) -> Outcome:
        """Complies, does not comply, advice or undetermined."""
        return self.verdict.outcome

    @property
    def fails(self) -> bool:
        """True when the subject does not comply."""
        return self.verdict.outcome is Outcome.DOES_NOT_COMPLY

    @property
    def consequence(self) -> Consequence:
        """What is at stake: the verdict's own, or the rule's."""
        return self.verdict.consequence or self.rule.consequence

    @property
    def citation(self) -> Citation:
        """Where the requirement stands: the verdict's own, or the rule's."""
        return self.verdict.citation or self.rule.citation

    @property
    def is_hazard(self) -> bool:
        """True when a stated requirement against shock or fire is not met.

        What rests on inference or common practice alone is never a hazard in this sense.
        """
        return (
            self.fails
            and self.consequence in (Consequence.SHOCK, Consequence.FIRE)
            and self.citation.is_stated_requirement
        )

    @property
    def terms(self) -> tuple[Term, ...]:
        """The parts of the value, in the order in which they are summed."""
        terms = self.verdict.terms
        return tuple(terms() if callable(terms) else terms)


def total(values: Iterable[float]) -> float:
    """The sum without the drift of repeated addition: exact, then rounded to six places."""
    return round(math.fsum(values), _PLACES)


def within(value: float, limit: float) -> bool:
    """value <= limit after rounding both to six places, so that equal sums count as equal.

    Rounding keeps the order, so only what is above the limit has to be rounded.
    """
    return value <= limit or round(value, _PLACES) <= round(limit, _PLACES)


def at_most(
    value: float,
    limit: Limit | float,
    *,
    unit: str = "",
    terms: Terms = (),
    case: str = "",
    related: tuple[str, ...] = (),
    otherwise: Outcome = Outcome.DOES_NOT_COMPLY,
    consequence: Consequence | None = None,
) -> Verdict:
    """Complies when the value does not exceed the limit, else ``otherwise``."""
    if isinstance(limit, Limit):
        number, unit = limit.value, limit.unit
    else:
        number = limit
    outcome = Outcome.COMPLIES if within(value, number) else otherwise
    return _verdict(outcome, value, number, unit, terms, case, related, consequence)


def at_least(
    value: float,
    limit: Limit | float,
    *,
    unit: str = "",
    terms: Terms = (),
    case: str = "",
    related: tuple[str, ...] = (),
    otherwise: Outcome = Outcome.DOES_NOT_COMPLY,
    consequence: Consequence | None = None,
) -> Verdict:
    """Complies when the value is not below the limit, else ``otherwise``."""
    if isinstance(limit, Limit):
        number, unit = limit.value, limit.unit
    else:
        number = limit
    outcome = Outcome.COMPLIES if within(number, value) else otherwise
    return _verdict(outcome, value, number, unit, terms, case, related, consequence)


def holds(
    condition: bool,
    *,
    value: Value = None,
    limit: Value = None,
    unit: str = "",
    terms: Terms = (),
    case: str = "",
    related: tuple[str, ...] = (),
    otherwise: Outcome = Outcome.DOES_NOT_COMPLY,
    consequence: Consequence | None = None,
    citation: Citation | None = None,
) -> Verdict:
    """Complies when the condition is true, else ``otherwise``; for choices that are not sums."""
    outcome = Outcome.COMPLIES if condition else otherwise
    return _verdict(outcome, value, limit, unit, terms, case, related, consequence, citation)


def undetermined(*missing: str, case: str = "") -> Verdict:
    """Cannot be judged: names the paths of what is missing."""
    return Verdict(outcome=Outcome.UNDETERMINED, missing=missing, case=case)
