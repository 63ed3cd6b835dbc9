"""A house with a choice in it, judged once; of another choice only that is judged which depends on it.

What a rule reads is noted while it judges. A rule that read none of the decisions that are taken
otherwise says of a record what it said before, so it is not asked again.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from trainer.domain.answers.decisions import Decision
from trainer.domain.answers.undecided import OpenHouse
from trainer.domain.findings import Verdict
from trainer.domain.generator.judging import rules_of
from trainer.domain.installation import Installation
from trainer.domain.limits import limits_for
from trainer.domain.rules.registry import Rule, cases
from trainer.domain.vocabulary import Edition, Outcome

Changes = Mapping[str, str]
"""Decisions taken otherwise: decision id to option id."""


class Case(NamedTuple):
    """What one rule says of one record, and the decisions that it read, by number."""

    rule: Rule
    path: str
    verdict: Verdict | None
    reads: tuple[int, ...]

    @property
    def outcome(self) -> Outcome | None:
        """The outcome; None where the rule does not apply."""
        return None if self.verdict is None else self.verdict.outcome


class Trial:
    """A house with one option of each decision in it, and what every rule says.

    ``house`` is the one that was given; ``cases`` leaves out the rules that do not apply whatever is
    decided. Terms of a verdict have to be read before the next question, for they are taken from the
    house as it stands.
    """

    def __init__(
        self, house: Installation, decisions: Sequence[Decision], chosen: Mapping[str, str], edition: Edition
    ) -> None:
        self.house = house
        self.numbers = {each.id: number for number, each in enumerate(decisions)}
        self._options = [{option.id: place for place, option in enumerate(each.options)} for each in decisions]
        # The open house looks here whenever a decision is read, so that another choice is one assignment.
        self._first = [places[chosen[each.id]] for each, places in zip(decisions, self._options, strict=True)]
        self._open = OpenHouse(house, decisions, self._first)
        self._limits = limits_for(edition)
        self._records: list[Any] = []
        self._readers: list[list[int]] = [[] for _ in decisions]
        self.cases: list[Case] = []
        self._judge_all(rules_of(edition))

    def _judge_all(self, rules: Sequence[Rule]) -> None:
        house, limits, noted, records = self._open, self._limits, self.cases, self._records
        installation, read = house.installation, house.read
        for rule, path, record in cases(installation, rules):
            verdict = rule.judge(record, installation, limits)
            if read:
                for number in read:
                    self._readers[number].append(len(noted))
                noted.append(Case(rule, path, verdict, tuple(read)))
                records.append(record)
                house.release_all()
            elif verdict is not None:
                noted.append(Case(rule, path, verdict, ()))
                records.append(record)

    def changed(self, changes: Changes, only: Collection[str] = ()) -> dict[int, Case]:
        """What is said otherwise or anew under other choices, by the place in ``cases``; ``only`` by some rules."""
        found: dict[int, Case] = {}
        house, limits = self._open, self._limits
        before = self._put(changes)
        try:
            for place in self._places(changes, only):
                rule, path = self.cases[place][:2]
                verdict = rule.judge(self._records[place], house.installation, limits)
                found[place] = Case(rule, path, verdict, tuple(house.read))
                house.release_all()
        finally:
            self._put_back(before)
        return found

    def failing_rule(self, changes: Changes, only: Collection[str] = ()) -> str | None:
        """The first rule that fails because of other choices; None where all comply."""
        return next(iter(self._failing(changes, only, first=True)), None)

    def failing_rules(self, changes: Changes, only: Collection[str] = ()) -> frozenset[str]:
        """All rules that fail because of other choices."""
        return frozenset(self._failing(changes, only, first=False))

    def said(self) -> Iterator[tuple[Rule, Verdict]]:
        """Every verdict on the house as it was given, with its rule."""
        return ((case.rule, case.verdict) for case in self.cases if case.verdict is not None)

    def turning(self, decisions: Sequence[Decision]) -> frozenset[tuple[str, str]]:
        """What may be said otherwise by some of these decisions: pairs of a rule's id and a record's path."""
        places = {place for each in decisions for place in self._readers[self.numbers[each.id]]}
        return frozenset((self.cases[place].rule.id, self.cases[place].path) for place in places)

    def rules_that_read(self, decision: str) -> frozenset[str]:
        """The rules that look at a decision, with the other choices as they are."""
        return frozenset(self.cases[place].rule.id for place in self._readers[self.numbers[decision]])

    def _failing(self, changes: Changes, only: Collection[str], *, first: bool) -> list[str]:
        found: list[str] = []
        house, limits, records = self._open, self._limits, self._records
        before = self._put(changes)
        try:
            for place in self._places(changes, only):
                rule = self.cases[place].rule
                verdict = rule.judge(records[place], house.installation, limits)
                if house.read:
                    house.release_all()
                if verdict is not None and verdict.outcome is Outcome.DOES_NOT_COMPLY:
                    found.append(rule.id)
                    if first:
                        break
        finally:
            self._put_back(before)
        return found

    def _put(self, changes: Changes) -> list[tuple[int, int]]:
        """Take other options from now on; gives the decisions with what they were."""
        self._open.release_all()
        numbers = [self.numbers[name] for name in changes]
        before = [(number, self._first[number]) for number in numbers]
        for number, option in zip(numbers, changes.values(), strict=True):
            self._first[number] = self._options[number][option]
        return before

    def _put_back(self, before: Sequence[tuple[int, int]]) -> None:
        self._open.release_all()
        for number, option in before:
            self._first[number] = option

    def _places(self, changes: Changes, only: Collection[str]) -> Sequence[int]:
        """The cases that read one of the decisions, in their order."""
        read = [self._readers[self.numbers[name]] for name in changes]
        places = read[0] if len(read) == 1 else sorted({place for places in read for place in places})
        return [place for place in places if self.cases[place].rule.id in only] if only else places
