"""The other options: none of them is settled by rounding either.

An option, or a combination of options of one circuit, is settled by rounding when a value lies
within the band round its limit and no rule fails it clearly.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product

from trainer.domain.answers.decisions import Decision, Option, apply_edits
from trainer.domain.answers.undecided import OpenHouse
from trainer.domain.cables import Circuit
from trainer.domain.findings import Verdict
from trainer.domain.generator.draft import Draft
from trainer.domain.generator.margin import on_the_edge
from trainer.domain.generator.offers import Offer
from trainer.domain.generator.sizing import SIZING_RULES, NoCableError, at_other_lengths, cable_of
from trainer.domain.generator.trial import Trial
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.registry import Rule
from trainer.domain.vocabulary import Outcome

CIRCUIT_KINDS = frozenset({"rating", "curve", "cable"})
"""Decisions of one circuit that only together tell whether its cable is protected."""

_COMPUTED_BY_KIND: Mapping[str, frozenset[str]] = {
    "place": frozenset({"RCD-05", "RCD-07B"}),
    "sensitivity": frozenset({"RCD-05", "RCD-09", "RCD-13"}),
    "way": frozenset({"RCD-05", "RCD-07B", "RCD-09", "RCD-13"}),
    "earthing": frozenset({"RCD-09", "RCD-10", "EV-04", "EV-05", "EV-06", "EV-07"}),
    "curve": frozenset({"HP-04"}),
    "rating": frozenset({"HP-04"}),
}

_IN_TURN: tuple[Rule, ...] = tuple(
    rule
    for wanted in ("OC-08", "OC-01", "OC-10", "OC-09", "OC-05", "OC-06", "OC-02", "OC-04")
    for rule in SIZING_RULES
    if rule.id == wanted
)
"""The rules of the cable, those that read least first: what a rule reads is judged anew from there on."""

Failing = dict[tuple[int, ...], bool]
"""Whether a rule of the cable fails, for each combination of options by number."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Near:
    """A combination that rounding would settle: the house with it, and the option of the cable if that is asked."""

    reason: str
    house: Installation
    size: Option | None


def keep_clear(draft: Draft, offers: Sequence[Offer], limits: Limits) -> tuple[dict[str, Failing], bool]:
    """Which combinations of a circuit's options fail, by role, once no combination is settled by rounding.

    A new cable is lengthened or shortened where one would be; the second value says whether any was.
    *Raises* NoCableError where no length helps.
    """
    failing: dict[str, Failing] = {}
    moved = False
    for role in dict.fromkeys(each.role for each in offers if each.kind in CIRCUIT_KINDS):
        if role not in draft.circuits:
            continue
        own = of_circuit(offers, role)
        house, circuit = draft.house(), draft.circuits[role]
        found = _combinations(house, role, own, limits, circuit)
        if isinstance(found, _Near):
            draft.circuits[role], found = _at_another_length(house, role, own, limits, circuit, found)
            moved = True
        failing[role] = found
    return failing, moved


def of_circuit(offers: Sequence[Offer], role: str) -> list[Offer]:
    """The decisions on rating, curve and cable of one circuit, that on the cable last."""
    own = [each for each in offers if each.role == role and each.kind in CIRCUIT_KINDS]
    return sorted(own, key=lambda each: each.kind == "cable")


def _at_another_length(
    house: Installation, role: str, offers: Sequence[Offer], limits: Limits, circuit: Circuit, near: _Near
) -> tuple[Circuit, Failing]:
    nears = [near]
    for other in at_other_lengths(circuit, house, limits):
        if any(_still_settled(each, other, limits) for each in nears):
            continue
        found = _combinations(house, role, offers, limits, other)
        if not isinstance(found, _Near):
            return other, found
        # What was near once is most often near again: it is looked at first.
        nears.insert(0, found)
    raise NoCableError(near.reason)


def _still_settled(near: _Near, circuit: Circuit, limits: Limits) -> bool:
    """True where rounding would settle the same combination with the circuit at another length."""
    again = circuit if near.size is None else _with_cable(circuit, near.size)
    return _deciding((rule, rule.judge(again, near.house, limits)) for rule in SIZING_RULES) is not None


def settled_by_rounding(trial: Trial, offers: Sequence[Offer]) -> str | None:
    """The first single option that rounding would settle, by name; None where there is none."""
    for each in offers:
        rules = _COMPUTED_BY_KIND.get(each.kind)
        if rules is None:
            continue
        for option in each.decision.options:
            if option.id != each.intended:
                cases = trial.changed({each.decision.id: option.id}, rules).values()
                near = _deciding((case.rule, case.verdict) for case in cases)
                if near is not None:
                    return f"{each.decision.id} with {option.id}: {near}"
    return None


def _combinations(
    house: Installation, role: str, offers: Sequence[Offer], limits: Limits, circuit: Circuit
) -> Failing | _Near:
    """Which combinations of a circuit's options fail, with the cable as given; one that rounding would settle."""
    sizes = next((each.decision.options for each in offers if each.kind == "cable"), None)
    others = [each.decision for each in offers if each.kind != "cable"]
    tried = _Tried(house, others, limits)
    failing: Failing = {}
    for number, size in enumerate((None,) if sizes is None else sizes):
        own = circuit if size is None else _with_cable(circuit, size)
        for chosen, fails, near in tried.standings(own):
            if near is not None and not fails:
                picked = [each.options[option] for each, option in zip(others, chosen, strict=True)]
                reason = f"{role} with {', '.join(option.id for option in picked)}: {near}"
                settled = apply_edits(house, [edit for option in picked for edit in option.edits])
                return _Near(reason=reason, house=settled, size=size)
            failing[chosen if size is None else (*chosen, number)] = fails
    return failing


class _Tried:
    """A circuit with other options of rating and curve: each rule is asked again only where it read what changed.

    All rules run as one, in the order below: another option of a decision is judged from the rule on that
    was the first to read it.
    """

    def __init__(self, house: Installation, decisions: Sequence[Decision], limits: Limits) -> None:
        self._open = OpenHouse(house, decisions)
        self._limits = limits
        self._found: list[tuple[tuple[int | None, ...], bool, str | None]] = []

    def standings(self, circuit: Circuit) -> Iterator[tuple[tuple[int, ...], bool, str | None]]:
        """For each combination of options by number: whether a rule fails clearly, else which value lies in the band.

        What is not read is the same under all of its options.
        """
        self._found.clear()
        self._run(circuit, 0, None, 0)
        sizes = self._open.sizes
        for taken, fails, near in self._found:
            every = (range(size) if own is None else (own,) for own, size in zip(taken, sizes, strict=True))
            for chosen in product(*every):
                yield chosen, fails, near

    def _run(self, circuit: Circuit, start: int, near: str | None, depth: int) -> None:
        """Ask the rules from one on, then try the other options of what they read, the last first."""
        house = self._open
        read = house.read
        first_read: list[tuple[int, str | None]] = []
        fails, so_far = False, near
        for place in range(start, len(_IN_TURN)):
            rule = _IN_TURN[place]
            verdict = rule.judge(circuit, house.installation, self._limits)
            while len(first_read) < len(read) - depth:
                first_read.append((place, so_far))
            fails, so_far = _weighed(rule, verdict, so_far)
            if fails:
                break
        self._found.append((house.taken, fails, so_far))
        while len(read) > depth:
            place, before = first_read.pop()
            for option in range(1, house.sizes[read[-1]]):
                house.change(option)
                self._run(circuit, place, before, len(read))
            house.release()


def _with_cable(circuit: Circuit, option: Option) -> Circuit:
    """The circuit with the values that an option of its cable sets."""
    values = {edit.path.rpartition(".")[2]: edit.value for edit in option.edits}
    return replace(circuit, cable=replace(cable_of(circuit), **values))


def _deciding(judged: Iterable[tuple[Rule, Verdict | None]]) -> str | None:
    """The rule whose value lies in the band, unless another rule fails clearly."""
    fails, near = _standing(judged)
    return None if fails else near


def _standing(judged: Iterable[tuple[Rule, Verdict | None]]) -> tuple[bool, str | None]:
    """Whether a rule fails clearly, else the rule whose value lies in the band."""
    near: str | None = None
    for rule, verdict in judged:
        fails, near = _weighed(rule, verdict, near)
        if fails:
            return True, None
    return False, near


def _weighed(rule: Rule, verdict: Verdict | None, near: str | None) -> tuple[bool, str | None]:
    """Whether a rule fails clearly, and the first value in the band so far."""
    if verdict is None:
        return False, near
    if on_the_edge(rule.id, verdict):
        return False, near or f"{rule.id} {verdict.case} {verdict.value} {verdict.limit}"
    return verdict.outcome is Outcome.DOES_NOT_COMPLY, near
