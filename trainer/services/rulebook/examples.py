"""The worked example of a rule: one installation, one value moved, every outcome computed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from trainer.domain.errors import InstallationError
from trainer.domain.findings import Finding
from trainer.domain.installation import Installation
from trainer.domain.rules.registry import Rule, judge
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition, Outcome
from trainer.services.rulebook.pages import ExampleSpec
from trainer.services.trying.moved_values import every_value, moved, with_settings

_PLACES = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """The value that was put in, the installation with it, and what the rule says of it.

    ``finding`` is None where the rule has nothing to judge then.
    """

    role: str
    value: object
    installation: Installation
    finding: Finding | None

    @property
    def outcome(self) -> Outcome | None:
        """What the rule says, or None where it is silent."""
        return None if self.finding is None else self.finding.outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedExample:
    """A rule worked through: the cases that are shown, the boundary, and what each value would give.

    ``boundary`` holds the last value that complies and the next one, for values that can be
    moved in steps; ``each_value`` all values of a list.
    """

    path: str
    called: str
    installation: Installation
    cases: tuple[Case, ...]
    boundary: tuple[Case, Case] | None
    each_value: tuple[Case, ...]


def worked_example(
    rule: Rule,
    spec: ExampleSpec,
    houses: Mapping[str, Installation],
    edition: Edition = DEFAULT_EDITION,
) -> WorkedExample:
    """The example of a rule under an edition in which it holds. *Raises* InstallationError."""
    bench = _Bench(rule, with_settings(houses[spec.house], spec.settings), spec, edition)
    cases = tuple(bench.case(role, value) for role, value in spec.shown.items())
    return WorkedExample(
        path=spec.vary,
        called=spec.called,
        installation=bench.house,
        cases=cases,
        boundary=bench.boundary() if spec.step is not None else None,
        each_value=() if spec.step is not None else tuple(bench.each_value()),
    )


class _Bench:
    """One rule held against one installation while one of its values is moved."""

    def __init__(self, rule: Rule, house: Installation, spec: ExampleSpec, edition: Edition) -> None:
        self.rule = rule
        self.house = house
        self.spec = spec
        self.edition = edition
        self.subject = spec.subject or self._subject()

    def _findings(self, value: object) -> list[Finding]:
        return judge(moved(self.house, self.spec.vary, value), [self.rule], self.edition)

    def _subject(self) -> str:
        """The first subject of which the rule says something else in the cases shown."""
        told = [{each.subject: each.outcome for each in self._findings(value)} for value in self.spec.shown.values()]
        first, last = told[0], told[-1]
        differing = [path for path in last if first.get(path) != last[path]]
        return next(iter(differing or last or first), "")

    def case(self, role: str, value: object) -> Case:
        """What the rule says with a value put in."""
        house = moved(self.house, self.spec.vary, value)
        found = judge(house, [self.rule], self.edition)
        finding = next((each for each in found if each.subject == self.subject), None)
        return Case(role=role, value=value, installation=house, finding=finding)

    def each_value(self) -> list[Case]:
        """What the rule says of every value of the list."""
        cases: list[Case] = []
        for value in self.spec.values or every_value(self.house, self.spec.vary):
            try:
                cases.append(self.case("listed", value))
            except InstallationError:
                continue
        return cases

    def boundary(self) -> tuple[Case, Case] | None:
        """The last value that complies and the next one, in steps from the passing to the failing value."""
        start, end = float(self.spec.shown["passes"]), float(self.spec.shown["fails"])
        step = (self.spec.step or 1) * (1 if end > start else -1)
        low, high = 0, round((end - start) / step)
        while high - low > 1:
            middle = (low + high) // 2
            complies = self.case("", _stepped(start, step, middle)).outcome is Outcome.COMPLIES
            low, high = (middle, high) if complies else (low, middle)
        last, following = _stepped(start, step, low), _stepped(start, step, high)
        return self.case("last", last), self.case("next", following)


def _stepped(start: float, step: float, count: int) -> float:
    return round(start + step * count, _PLACES)


def outcomes_of(example: WorkedExample) -> dict[str, Any]:
    """The outcome of each case that is shown, by its role."""
    return {case.role: case.outcome for case in example.cases}
