"""All acceptable answers of a set of decisions, exactly, although they are too many to list.

Rules that look at one circuit forbid options of that circuit; rules of shared devices tie circuits
together. The forbidden combinations are conditioned on the decision that ties most others
together; what falls apart is solved part by part, and equal remainders are solved once.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from trainer.domain.answers.conditions import Bench, Forbidden, Literal
from trainer.domain.answers.decisions import Decision, Proposal
from trainer.domain.answers.factored import (
    EVERYTHING,
    NOTHING,
    Branching,
    Parts,
    all_of,
    any_of,
    best,
    contains,
)
from trainer.domain.installation import Installation
from trainer.domain.rules.registry import Rule
from trainer.domain.vocabulary import DEFAULT_EDITION, Edition

Clauses = frozenset[frozenset[Literal]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Solution:
    """The acceptable proposals of some decisions, and what each decision can cause at worst.

    ``weights`` holds the marks of each decision in order.
    """

    decisions: tuple[Decision, ...]
    acceptable: Parts
    weights: tuple[int, ...]

    @property
    def acceptable_count(self) -> int:
        """How many proposals are acceptable."""
        return self.acceptable.count

    @property
    def proposal_space(self) -> int:
        """How many proposals there are in all."""
        size = 1
        for decision in self.decisions:
            size *= len(decision.options)
        return size

    def accepts(self, proposal: Proposal) -> bool:
        """True when a checked proposal is acceptable."""
        return contains(self.acceptable, self.numbers(proposal))

    def numbers(self, proposal: Proposal) -> tuple[int, ...]:
        """The option numbers of a checked proposal, in the order of the decisions."""
        return tuple([option.id for option in each.options].index(proposal[each.id]) for each in self.decisions)

    def nearest(self, proposal: Proposal) -> dict[str, str]:
        """The acceptable proposal with fewest changes, then fewest marks lost, then least cost.

        *Raises* ValueError when nothing is acceptable.
        """
        chosen = self.numbers(proposal)

        def cost(decision: int, option: int) -> tuple[int, int, int]:
            price = self.decisions[decision].options[option].cost
            if chosen[decision] == option:
                return (0, 0, price)
            return (1, self.weights[decision], price)

        return self._named(best(self.acceptable, cost, 3)[1])

    def cheapest(self) -> dict[str, str]:
        """The acceptable proposal of least invented cost. *Raises* ValueError when none is."""

        def cost(decision: int, option: int) -> tuple[int]:
            return (self.decisions[decision].options[option].cost,)

        return self._named(best(self.acceptable, cost, 1)[1])

    def cost(self, proposal: Proposal) -> int:
        """The invented cost index of a checked proposal."""
        return sum(each.option(proposal[each.id]).cost for each in self.decisions)

    def fitting(self, proposal: Proposal, decision_id: str) -> tuple[str, ...]:
        """The options of one decision that are acceptable with the other choices as they are."""
        choice = self.numbers(proposal)
        places = [place for place, each in enumerate(self.decisions) if each.id == decision_id]
        return self.fitting_at(choice, places[0]) if places else ()

    def fitting_at(self, choice: Sequence[int], place: int) -> tuple[str, ...]:
        """The same of the decision at a place, for the option numbers of a proposal."""
        varied = list(choice)
        found = []
        for number, option in enumerate(self.decisions[place].options):
            varied[place] = number
            if contains(self.acceptable, varied):
                found.append(option.id)
        return tuple(found)

    def _named(self, choice: dict[int, int]) -> dict[str, str]:
        return {decision.id: decision.options[choice[number]].id for number, decision in enumerate(self.decisions)}


def solve(
    house: Installation,
    decisions: Sequence[Decision],
    rules: Sequence[Rule],
    edition: Edition = DEFAULT_EDITION,
    turning: Collection[tuple[str, str]] | None = None,
) -> Solution:
    """All proposals under which no rule fails.

    ``turning`` names, by rule and path of the record, all verdicts that turn on a decision, where they are
    known and every other one complies.
    """
    bench = Bench(house, decisions, rules, edition)
    forbidden = bench.forbidden(turning)
    return Solution(
        decisions=tuple(decisions),
        acceptable=acceptable(bench.sizes, frozenset(forbidden)),
        weights=_weights(len(decisions), forbidden),
    )


def _weights(size: int, forbidden: Forbidden) -> tuple[int, ...]:
    """For each decision the weight of the worst failure in which it has a part; at least 1."""
    weights = [1] * size
    for literals, weight in forbidden.items():
        for decision, _ in literals:
            weights[decision] = max(weights[decision], weight)
    return tuple(weights)


def acceptable(sizes: Sequence[int], clauses: Clauses) -> Parts:
    """All choices that contain none of the forbidden combinations, as a factored set."""
    return _Splitter(sizes).of(tuple(range(len(sizes))), clauses)


class _Splitter:
    """Conditions, splits and remembers."""

    def __init__(self, sizes: Sequence[int]) -> None:
        self._sizes = sizes
        self._known: dict[tuple[int, Clauses], Branching] = {}
        self._whole: dict[tuple[tuple[int, ...], Clauses], Parts] = {}

    def of(self, decisions: tuple[int, ...], clauses: Clauses) -> Parts:
        """The set over the given decisions; ``clauses`` speak of these only."""
        if frozenset() in clauses:
            return NOTHING
        if not decisions:
            return EVERYTHING
        key = (decisions, clauses)
        known = self._whole.get(key)
        if known is None:
            parts = [self._part(group, inner) for group, inner in _split(decisions, clauses)]
            known = self._whole[key] = all_of(tuple(parts))
        return known

    def _part(self, group: tuple[int, ...], clauses: Clauses) -> Branching:
        decision = group[0] if len(group) == 1 else _most_tied(group, clauses)
        key = (decision, clauses)
        known = self._known.get(key)
        if known is None:
            others = tuple(each for each in group if each != decision)
            options = [
                (option, self.of(others, rest))
                for option, rest in enumerate(_conditioned(clauses, decision, self._sizes))
            ]
            known = self._known[key] = any_of(decision, options)
        return known


def _conditioned(clauses: Clauses, decision: int, sizes: Sequence[int]) -> Iterable[Clauses]:
    """For each option of a decision, what remains forbidden to the others."""
    kept: list[frozenset[Literal]] = []
    touched: list[list[frozenset[Literal]]] = [[] for _ in range(sizes[decision])]
    for clause in clauses:
        for literal in clause:
            if literal[0] == decision:
                touched[literal[1]].append(clause - {literal})
                break
        else:
            kept.append(clause)
    return [_without_weaker(frozenset((*kept, *more))) for more in touched]


def _without_weaker(clauses: Clauses) -> Clauses:
    """Drop combinations that contain a forbidden single option: they can no longer occur."""
    if frozenset() in clauses:
        return frozenset({frozenset()})
    single = {literal for clause in clauses if len(clause) == 1 for literal in clause}
    if not single:
        return clauses
    return frozenset(c for c in clauses if len(c) == 1 or not (c & single))


def _most_tied(group: tuple[int, ...], clauses: Clauses) -> int:
    """The decision that stands together with most others; of equals the first."""
    ties: dict[int, set[int]] = {each: set() for each in group}
    for clause in clauses:
        together = {decision for decision, _ in clause}
        for decision in together:
            ties[decision] |= together
    return max(group, key=lambda each: (len(ties[each]), -each))


def _split(decisions: tuple[int, ...], clauses: Clauses) -> list[tuple[tuple[int, ...], Clauses]]:
    """Groups of decisions that no clause ties together, each with its clauses."""
    parent = {each: each for each in decisions}

    def root(each: int) -> int:
        while parent[each] != each:
            parent[each] = parent[parent[each]]
            each = parent[each]
        return each

    for clause in clauses:
        first, *rest = [decision for decision, _ in clause]
        for other in rest:
            parent[root(other)] = root(first)
    groups: dict[int, list[int]] = {}
    for each in decisions:
        groups.setdefault(root(each), []).append(each)
    inner: dict[int, list[frozenset[Literal]]] = {key: [] for key in groups}
    for clause in clauses:
        inner[root(next(iter(clause))[0])].append(clause)
    return [(tuple(members), frozenset(inner[key])) for key, members in groups.items()]
