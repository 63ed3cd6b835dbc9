"""The other options: none of them is settled by rounding either.

An option, or a combination of options of one circuit, is settled by rounding when a value lies
within the band round its limit and no rule fails it clearly.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import product

from trainer.domain.answers.decisions import Option, apply_edits
from trainer.domain.cables import Circuit
from trainer.domain.findings import Verdict
from trainer.domain.generator.draft import Draft
from trainer.domain.generator.judging import RULE_BY_ID, verdicts
from trainer.domain.generator.margin import on_the_edge
from trainer.domain.generator.offers import Offer
from trainer.domain.generator.sizing import SIZING_RULES, NoCableError, at_other_lengths, cable_of
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.registry import Rule
from trainer.domain.vocabulary import Outcome

_CIRCUIT_KINDS = frozenset({"rating", "curve", "cable"})
_COMPUTED_BY_KIND: Mapping[str, tuple[str, ...]] = {
    "place": ("RCD-05", "RCD-07B"),
    "sensitivity": ("RCD-05", "RCD-09", "RCD-13"),
    "way": ("RCD-05", "RCD-07B", "RCD-09", "RCD-13"),
    "earthing": ("RCD-09", "RCD-10", "EV-04", "EV-05", "EV-06", "EV-07"),
    "curve": ("HP-04",),
    "rating": ("HP-04",),
}
_RULES_BY_KIND = {
    kind: tuple(RULE_BY_ID[rule_id] for rule_id in ids if rule_id in RULE_BY_ID)
    for kind, ids in _COMPUTED_BY_KIND.items()
}


def keep_clear(draft: Draft, offers: Sequence[Offer], limits: Limits) -> None:
    """Lengthen or shorten a new cable where a combination of its options would be settled by rounding.

    *Raises* NoCableError where no length helps.
    """
    for role in dict.fromkeys(each.role for each in offers if each.kind in _CIRCUIT_KINDS):
        if role not in draft.circuits:
            continue
        own = [each for each in offers if each.role == role and each.kind in _CIRCUIT_KINDS]
        house, circuit = draft.house(), draft.circuits[role]
        found = _combination(house, role, own, limits, circuit)
        if found is None:
            continue
        for other in at_other_lengths(circuit, house, limits):
            if _combination(house, role, own, limits, other) is None:
                draft.circuits[role] = other
                break
        else:
            raise NoCableError(found)


def settled_by_rounding(house: Installation, offers: Sequence[Offer], limits: Limits) -> str | None:
    """The first single option that rounding would settle, by name; None where there is none."""
    for each in offers:
        rules = _RULES_BY_KIND.get(each.kind)
        if rules is None:
            continue
        for option in each.decision.options:
            if option.id != each.intended:
                other = apply_edits(house, list(option.edits))
                near = _deciding((rule, verdict) for rule, _, verdict in verdicts(other, rules, limits))
                if near is not None:
                    return f"{each.decision.id} with {option.id}: {near}"
    return None


def _combination(
    house: Installation, role: str, offers: Sequence[Offer], limits: Limits, circuit: Circuit
) -> str | None:
    """The first combination of a circuit's options that rounding would settle, with the cable as given."""
    sizes = next((each.decision.options for each in offers if each.kind == "cable"), None)
    cables = [circuit] if sizes is None else [_with_cable(circuit, option) for option in sizes]
    for options in product(*(each.decision.options for each in offers if each.kind != "cable")):
        other = apply_edits(house, [edit for option in options for edit in option.edits])
        for own in cables:
            near = _deciding((rule, rule.judge(own, other, limits)) for rule in SIZING_RULES)
            if near is not None:
                return f"{role} with {', '.join(option.id for option in options)}: {near}"
    return None


def _with_cable(circuit: Circuit, option: Option) -> Circuit:
    """The circuit with the values that an option of its cable sets."""
    values = {edit.path.rpartition(".")[2]: edit.value for edit in option.edits}
    return replace(circuit, cable=replace(cable_of(circuit), **values))


def _deciding(judged: Iterable[tuple[Rule, Verdict | None]]) -> str | None:
    """The rule whose value lies in the band, unless another rule fails clearly."""
    near: str | None = None
    for rule, verdict in judged:
        if verdict is None:
            continue
        if on_the_edge(rule.id, verdict):
            near = near or f"{rule.id} {verdict.case} {verdict.value} {verdict.limit}"
        elif verdict.outcome is Outcome.DOES_NOT_COMPLY:
            return None
    return near
