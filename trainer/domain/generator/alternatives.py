"""The other options: none of them is settled by rounding either.

An option, or a combination of options of one circuit, is settled by rounding when a value lies
within the band round its limit and no rule fails it clearly.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product

from trainer.domain.answers.decisions import Option, apply_edits
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
    for other in at_other_lengths(circuit, house, limits):
        again = other if near.size is None else _with_cable(other, near.size)
        if _deciding((rule, rule.judge(again, near.house, limits)) for rule in SIZING_RULES) is not None:
            continue
        found = _combinations(house, role, offers, limits, other)
        if not isinstance(found, _Near):
            return other, found
    raise NoCableError(near.reason)


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
    """Which combinations of a circuit's options fail, with the cable as given; the first that rounding would settle."""
    sizes = next((each.decision.options for each in offers if each.kind == "cable"), None)
    cables = [circuit] if sizes is None else [_with_cable(circuit, option) for option in sizes]
    others = [each.decision.options for each in offers if each.kind != "cable"]
    failing: Failing = {}
    for chosen in product(*(range(len(options)) for options in others)):
        picked = [options[number] for options, number in zip(others, chosen, strict=True)]
        other = apply_edits(house, [edit for option in picked for edit in option.edits])
        for number, own in enumerate(cables):
            fails, near = _standing((rule, rule.judge(own, other, limits)) for rule in SIZING_RULES)
            if near is not None and not fails:
                reason = f"{role} with {', '.join(option.id for option in picked)}: {near}"
                return _Near(reason=reason, house=other, size=None if sizes is None else sizes[number])
            failing[(*chosen, number) if sizes is not None else chosen] = fails
    return failing


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
        if verdict is None:
            continue
        if on_the_edge(rule.id, verdict):
            near = near or f"{rule.id} {verdict.case} {verdict.value} {verdict.limit}"
        elif verdict.outcome is Outcome.DOES_NOT_COMPLY:
            return True, None
    return False, near
