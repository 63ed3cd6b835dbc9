"""Which combinations of options a rule forbids, found by running it on a house with open decisions."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from itertools import groupby
from operator import itemgetter
from typing import Any

from trainer.domain.answers.decisions import Decision
from trainer.domain.answers.twins import Exchange, twins
from trainer.domain.answers.undecided import OpenHouse
from trainer.domain.findings import Finding
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits, limits_for
from trainer.domain.rules.registry import Rule, cases
from trainer.domain.vocabulary import Consequence, Edition, Outcome

Literal = tuple[int, int]
"""A decision and one of its options, both by number."""

Forbidden = dict[frozenset[Literal], int]
"""Combinations that must not occur together, each with the weight of the worst consequence."""

Branch = tuple[tuple[Literal, ...], int]
"""Options that lead to a failure, and its weight."""

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
        self.limits: Limits = limits_for(edition)
        self.rules = [each for each in rules if edition in each.editions]

    def forbidden(self, turning: Collection[tuple[str, str]] | None = None) -> Forbidden:
        """All minimal-by-reading combinations of options under which some rule fails.

        ``turning`` names the only verdicts to look at: pairs of a rule's id and a record's path.
        """
        alike = twins(self.house, self.decisions)
        house = OpenHouse(self.house, (*self.decisions, *alike.watched))
        found: Forbidden = {}
        asked = None if turning is None else {rule_id for rule_id, _ in turning}
        rules = [each for each in self.rules if asked is None or each.id in asked]
        for rule, group in groupby(cases(house.installation, rules), key=itemgetter(0)):
            done: set[str] = set()
            for _, path, record in group:
                if path in done or (turning is not None and (rule.id, path) not in turning):
                    continue
                house.ever_read.clear()
                branches = self._explore(house, rule, record, 0)
                _gather(found, branches)
                for twin in alike.of.get(path, ()):
                    if twin.apart.isdisjoint(house.ever_read):
                        done.add(twin.path)
                        _gather(found, _exchanged(branches, twin.exchange))
        return found

    def forbidden_by(self, wanted: Collection[tuple[str, str]]) -> Forbidden:
        """The same for single rules on single records: pairs of a rule's id and a record's path."""
        house = OpenHouse(self.house, self.decisions)
        found: Forbidden = {}
        for rule, path, record in cases(house.installation, self.rules):
            if (rule.id, path) in wanted:
                _gather(found, self._explore(house, rule, record, 0))
        return found

    def _explore(self, house: OpenHouse, rule: Rule, record: Any, depth: int) -> list[Branch]:
        """The failing branches of one rule on one record, beyond the first ``depth`` decisions read.

        One run of the rule goes down to a verdict, and takes the first option of whatever it reads
        on the way; the other options are then tried from the last decision upwards. So the rule is
        run once for each verdict that it can give. Options that agree in all that was read of them
        fail alike.
        """
        verdict = rule.judge(record, house.installation, self.limits)
        found = _NOTHING_FAILS
        if verdict is not None and verdict.outcome is Outcome.DOES_NOT_COMPLY:
            found = [((), WEIGHT[verdict.consequence or rule.consequence])]
        read = house.read
        while (reached := len(read)) > depth:
            decision = read[-1]
            branches = [found]
            for option in range(1, house.sizes[decision]):
                alike = house.alike(option)
                if alike is not None:
                    branches.append(branches[alike])
                    continue
                house.change(option)
                branches.append(self._explore(house, rule, record, reached))
            house.release()
            found = _joined(decision, branches)
        return found

    def judged(self, choice: Sequence[int]) -> list[tuple[Finding, frozenset[int]]]:
        """All findings under one choice of every decision, each with the decisions it read.

        Terms that are spelt out later read the same house, which then puts the same choice in.
        """
        house = OpenHouse(self.house, self.decisions, choice)
        results: list[tuple[Finding, frozenset[int]]] = []
        for each, path, record in cases(house.installation, self.rules):
            verdict = each.judge(record, house.installation, self.limits)
            if verdict is not None:
                results.append((Finding(each, path, verdict), frozenset(house.read)))
            if house.read:
                house.release_all()
        return results


_NOTHING_FAILS: list[Branch] = []
"""Shared by all runs that fail nowhere; never changed."""


def _gather(found: Forbidden, branches: Sequence[Branch]) -> None:
    """Add what is forbidden, with the heavier weight where it was found before."""
    for literals, weight in branches:
        key = frozenset(literals)
        if found.get(key, 0) < weight:
            found[key] = weight


def _exchanged(branches: Sequence[Branch], exchange: Exchange) -> list[Branch]:
    """The same branches under the names of a twin."""
    return [
        (tuple((exchange.get(decision, decision), option) for decision, option in literals), weight)
        for literals, weight in branches
    ]


def _joined(decision: int, branches: list[list[Branch]]) -> list[Branch]:
    """The failing branches below a decision: as they are where they do not differ by its options."""
    if branches.count(branches[0]) == len(branches):
        return branches[0]
    return [
        (((decision, option), *literals), weight)
        for option, branch in enumerate(branches)
        for literals, weight in branch
    ]
