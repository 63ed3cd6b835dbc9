"""One value of an installation moved while the rest stays: which findings flip, and exactly where."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import NamedTuple

from trainer.domain.errors import InstallationError, OutOfRangeError, Problem
from trainer.domain.findings import Finding
from trainer.domain.installation import Installation
from trainer.domain.rules.book import ALL_RULES
from trainer.domain.rules.registry import Rule, judge
from trainer.domain.rules.version import rule_set_version
from trainer.domain.validation import validated
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition
from trainer.services.trying.places import Place, Value, put

Key = tuple[str, str]
"""A rule and a subject."""


class Step(NamedTuple):
    """One value that was tried: its findings, or why the installation cannot have it."""

    value: Value
    findings: Mapping[Key, Finding]
    problems: tuple[Problem, ...] = ()

    def outcome(self, key: Key) -> str:
        """The outcome of a finding, empty where its rule does not apply."""
        found = self.findings.get(key)
        return "" if found is None else found.outcome.value


@dataclass(frozen=True, slots=True, kw_only=True)
class Flip:
    """Where a finding's outcome turns: the last value below and the first one above.

    ``exact`` is true when nothing lies between the two: they differ by the finest step of the unit,
    or are neighbours in a list. It is false where the installation can have no value between them.
    """

    key: Key
    below: Step
    above: Step
    exact: bool

    @property
    def before(self) -> Finding | None:
        """The finding at the value below."""
        return self.below.findings.get(self.key)

    @property
    def after(self) -> Finding | None:
        """The finding at the value above."""
        return self.above.findings.get(self.key)

    @property
    def either(self) -> Finding:
        """The finding of one of the two sides, the one above if it is there."""
        found = self.after or self.before
        if found is None:
            raise ValueError("a flip without a finding")
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Sweep:
    """An installation under each of the values, and where its findings flip."""

    house: Installation
    place: Place
    edition: Edition
    rule_set_version: str
    rules: tuple[Rule, ...]
    steps: tuple[Step, ...]
    flips: tuple[Flip, ...]

    @property
    def keys(self) -> tuple[Key, ...]:
        """Every finding that some value gives, in the order of the rules."""
        return tuple(dict.fromkeys(key for step in self.steps for key in step.findings))

    @property
    def flipping(self) -> tuple[Key, ...]:
        """The findings that flip at least once."""
        return tuple(dict.fromkeys(each.key for each in self.flips))

    @property
    def moving(self) -> tuple[Key, ...]:
        """The findings whose number or limit moves and that do not flip."""
        quiet = set(self.flipping)
        return tuple(key for key in self.keys if key not in quiet and self._moves(key))

    def _moves(self, key: Key) -> bool:
        found = [step.findings[key].verdict for step in self.steps if key in step.findings]
        return len({(each.value, each.limit) for each in found}) > 1


def sweep(
    house: Installation,
    place: Place,
    values: Sequence[Value],
    rules: Sequence[Rule] = ALL_RULES,
    edition: Edition = DEFAULT_EDITION,
) -> Sweep:
    """Judge the installation under each value and find every flip between neighbours.

    Between two numbers the place is halved down to the finest step of the unit. A finding that
    turns and turns back between two values is not seen: take a finer step. *Raises* OutOfRangeError
    where the installation can have none of the values.
    """
    bench = _Bench(house=house, place=place, rules=tuple(rules), edition=edition)
    steps = tuple(bench.step(value) for value in values)
    if all(step.problems for step in steps):
        raise OutOfRangeError(*steps[0].problems)
    return Sweep(
        house=house,
        place=place,
        edition=edition,
        rule_set_version=rule_set_version(),
        rules=tuple(rules),
        steps=steps,
        flips=tuple(bench.flips(steps)),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Bench:
    """The installation on the bench: each value is put in once, and on the way only what flips is judged."""

    house: Installation
    place: Place
    rules: tuple[Rule, ...]
    edition: Edition
    houses: dict[Value, Installation | tuple[Problem, ...]] = field(default_factory=dict)
    known: dict[tuple[Value, str], Step] = field(default_factory=dict)

    def step(self, value: Value) -> Step:
        """The installation with the value put in, judged by all rules; or why it cannot have it."""
        return self._judged(value, self.rules)

    def step_of(self, rule_id: str, value: Value) -> Step:
        """The same judged by one rule."""
        place = (value, rule_id)
        if place not in self.known:
            self.known[place] = self._judged(value, [rule for rule in self.rules if rule.id == rule_id])
        return self.known[place]

    def _judged(self, value: Value, rules: Sequence[Rule]) -> Step:
        tried = self._with(value)
        if isinstance(tried, tuple):
            return Step(value, {}, tried)
        findings = judge(tried, rules, self.edition)
        return Step(value, {(each.rule.id, each.subject): each for each in findings})

    def _with(self, value: Value) -> Installation | tuple[Problem, ...]:
        """The installation with the value, or the problems that it then has."""
        if value not in self.houses:
            try:
                self.houses[value] = validated(put(self.house, self.place, value))
            except InstallationError as error:
                self.houses[value] = error.problems
        return self.houses[value]

    def flips(self, steps: Sequence[Step]) -> Iterator[Flip]:
        """Every flip between neighbours that the installation can have, in the order of the rules."""
        possible = [step for step in steps if not step.problems]
        found = [
            flip
            for below, above in pairwise(possible)
            for key in dict.fromkeys((*below.findings, *above.findings))
            if below.outcome(key) != above.outcome(key)
            for flip in self._between(key, below, above)
        ]
        order = {rule.id: number for number, rule in enumerate(self.rules)}
        yield from sorted(found, key=lambda each: order[each.key[0]])

    def _between(self, key: Key, below: Step, above: Step) -> Iterator[Flip]:
        """The flips of one finding between two values, by halving."""
        middle = self._middle(below.value, above.value)
        if middle is None:
            yield Flip(key=key, below=below, above=above, exact=True)
            return
        tried = self.step_of(key[0], middle)
        if tried.problems:
            yield Flip(key=key, below=below, above=above, exact=False)
            return
        if below.outcome(key) != tried.outcome(key):
            yield from self._between(key, below, tried)
        if tried.outcome(key) != above.outcome(key):
            yield from self._between(key, tried, above)

    def _middle(self, low: Value, high: Value) -> float | None:
        """A number of the unit's resolution between two, or None where there is none."""
        if not self.place.is_number or low is None or high is None:
            return None
        scale: int = 10**self.place.decimals
        first, last = round(float(low) * scale), round(float(high) * scale)
        if last - first < 2:
            return None
        middle = (first + last) // 2
        return middle if self.place.decimals == 0 else round(middle / scale, self.place.decimals)
