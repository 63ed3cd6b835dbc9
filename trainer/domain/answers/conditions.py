"""Which combinations of options a rule forbids, found by running it on a house with open decisions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from trainer.domain.answers.decisions import Decision, apply_edits
from trainer.domain.answers.undecided import NeedsDecision, OpenHouse
from trainer.domain.findings import Finding
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits, limits_for
from trainer.domain.rules.registry import Rule, subjects
from trainer.domain.vocabulary import Consequence, Edition, Outcome

Literal = tuple[int, int]
"""A decision and one of its options, both by number."""

Forbidden = dict[frozenset[Literal], int]
"""Combinations that must not occur together, each with the weight of the worst consequence."""

WEIGHT: dict[Consequence, int] = {
    Consequence.SHOCK: 4,
    Consequence.FIRE: 4,
    Consequence.EQUIPMENT: 2,
    Consequence.NUISANCE: 1,
    Consequence.DOCUMENTATION: 1,
    Consequence.DESIGN: 1,
    Consequence.VERIFICATION: 1,
}
"""Marks of a decision by the worst consequence that it can cause."""


class Bench:
    """One house with open decisions, and the rules that judge it."""

    def __init__(
        self,
        house: Installation,
        decisions: Sequence[Decision],
        rules: Sequence[Rule],
        edition: Edition,
    ) -> None:
        self.house = house
        self.decisions = tuple(decisions)
        self.sizes = [len(decision.options) for decision in decisions]
        self.open = OpenHouse(house, decisions)
        self.limits: Limits = limits_for(edition)
        self.rules = [each for each in rules if edition in each.editions]

    def cases(self) -> Iterator[tuple[Rule, str, Any]]:
        """Every rule with every record that it judges."""
        for each in self.rules:
            for path, record in subjects(self.open.installation, each.over):
                yield each, path, record

    def forbidden(self) -> Forbidden:
        """All minimal-by-reading combinations of options under which some rule fails."""
        found: Forbidden = {}
        for each, _path, record in self.cases():
            for literals, weight in self._explore(each, record):
                key = frozenset(literals)
                if found.get(key, 0) < weight:
                    found[key] = weight
        return found

    def _explore(self, rule: Rule, record: Any) -> list[tuple[tuple[Literal, ...], int]]:
        """The failing branches of one rule on one record, as literals still to be chosen."""
        try:
            verdict = rule.judge(record, self.open.installation, self.limits)
        except NeedsDecision as need:
            decision = need.decision
        else:
            if verdict is None or verdict.outcome is not Outcome.DOES_NOT_COMPLY:
                return []
            return [((), WEIGHT[verdict.consequence or rule.consequence])]
        branches: list[list[tuple[tuple[Literal, ...], int]]] = []
        for option in range(self.sizes[decision]):
            self.open.choose(decision, option)
            try:
                branches.append(self._explore(rule, record))
            finally:
                self.open.release(decision)
        if all(branch == branches[0] for branch in branches):
            return branches[0]
        return [
            (((decision, option), *literals), weight)
            for option, branch in enumerate(branches)
            for literals, weight in branch
        ]

    def judged(self, choice: Sequence[int]) -> list[tuple[Finding, frozenset[int]]]:
        """All findings under one choice of every decision, each with the decisions it read.

        The verdicts come from the installation as chosen, so that terms spelt out later read a
        whole house; the open house only tells what they depend on.
        """
        house = self._chosen(choice)
        results: list[tuple[Finding, frozenset[int]]] = []
        for each in self.rules:
            pairs = zip(subjects(house, each.over), subjects(self.open.installation, each.over), strict=True)
            for (path, record), (_, open_record) in pairs:
                verdict = each.judge(record, house, self.limits)
                if verdict is not None:
                    results.append((Finding(each, path, verdict), self._read(each, open_record, choice)))
        return results

    def _chosen(self, choice: Sequence[int]) -> Installation:
        """The installation with one option of every decision put in."""
        chosen = zip(self.decisions, choice, strict=True)
        return apply_edits(self.house, [edit for each, number in chosen for edit in each.options[number].edits])

    def _read(self, rule: Rule, record: Any, choice: Sequence[int]) -> frozenset[int]:
        """The decisions that a rule reads on its way to the verdict."""
        read: list[int] = []
        try:
            while True:
                try:
                    rule.judge(record, self.open.installation, self.limits)
                except NeedsDecision as need:
                    self.open.choose(need.decision, choice[need.decision])
                    read.append(need.decision)
                else:
                    return frozenset(read)
        finally:
            for decision in read:
                self.open.release(decision)
