"""Which decisions decide anything: one that no option can fail is not asked; the survey says what it is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from trainer.domain.generator.alternatives import Failing, of_circuit
from trainer.domain.generator.offers import Offer
from trainer.domain.generator.sizing import SIZING_IDS
from trainer.domain.generator.trial import Trial

RULES: Final[Mapping[str, frozenset[str]]] = {
    "poles": frozenset({"RCD-12", "EV-09", "LOC-03"}),
    "type": frozenset({"EV-08", "RCD-06", "PV-01", "HP-01", "RCD-07", "HP-02"}),
    "sensitivity": frozenset(
        {"EV-08", "RCD-11", "LOC-03", "RCD-01", "RCD-02", "RCD-03", "RCD-04", "RCD-09", "LOC-01", "LOC-02"}
    ),
    "curve": frozenset({"OC-02"}),
    "rating": frozenset({"OC-01", "HP-05", "RAT-01"}),
    "capacity": frozenset({"OC-07"}),
    "cable": frozenset({"OC-01", "OC-06", "OC-08"}),
    "place": frozenset({"RCD-11", "GEN-04"}),
    "direction": frozenset({"GEN-04"}),
    "link": frozenset({"GEN-07"}),
    "assembly": frozenset({"RAT-02"}),
    "generation_route": frozenset({"DNO-02"}),
    "load_route": frozenset({"DNO-01"}),
    "surge": frozenset({"SPD-01"}),
    "notices": frozenset({"GEN-09"}),
    "earthing": frozenset({"EV-04"}),
    "way": frozenset({"PV-01", "RCD-06", "HP-01", "HP-02", "RCD-09", "LOC-01", "LOC-02", "EV-08", "RCD-01"}),
    "bonding": frozenset({"BON-01"}),
    "battery": frozenset({"BAT-01"}),
    "electrode": frozenset({"GEN-05"}),
    "arc": frozenset({"AFDD-01"}),
}
"""The rules by which a wrong option of a kind of decision fails most often; no others are asked here."""


def decides(trial: Trial, offer: Offer) -> bool:
    """True when one of the options alone makes a rule fail; of ratings the largest most often does."""
    rules = RULES[offer.kind]
    decision = offer.decision
    return any(
        trial.failing_rule({decision.id: option.id}, rules) is not None
        for option in (reversed(decision.options) if offer.kind == "rating" else decision.options)
        if option.id != offer.intended
    )


def offers_something(trial: Trial, curve: Offer, cable: Offer | None) -> bool:
    """True when another curve makes a rule fail, with the cable as it is or of the smallest size that is offered.

    Few cables are so long that the curve decides; where it does not, all its combinations need no look.
    """
    others = [option.id for option in curve.decision.options if option.id != curve.intended]
    reading = trial.rules_that_read(curve.decision.id) & SIZING_IDS
    sizes: list[dict[str, str]] = [{}] if cable is None else [{}, {cable.decision.id: cable.decision.options[0].id}]
    for size in sizes:
        before = trial.failing_rules(size, reading) if size else frozenset()
        if any(trial.failing_rules({**size, curve.decision.id: other}, reading) != before for other in others):
            return True
    return False


def decide_together(offers: Sequence[Offer], role: str, failing: Failing) -> set[str]:
    """The decisions of a circuit, by id, with which one combination fails that another option would save."""
    own = of_circuit(offers, role)
    found: set[str] = set()
    for place, each in enumerate(own):
        outcomes: dict[tuple[int, ...], set[bool]] = {}
        for chosen, fails in failing.items():
            outcomes.setdefault(chosen[:place] + chosen[place + 1 :], set()).add(fails)
        if any(len(both) > 1 for both in outcomes.values()):
            found.add(each.decision.id)
    return found
