"""What a scenario asks: as many decisions as its level has, each of which an option can fail."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.domain.generator.alternatives import CIRCUIT_KINDS, Failing, keep_clear
from trainer.domain.generator.choosing import candidates
from trainer.domain.generator.deciding import decide_together, decides, offers_something
from trainer.domain.generator.draft import Draft
from trainer.domain.generator.evening import STEPS, evened
from trainer.domain.generator.offers import Offer
from trainer.domain.generator.proof import faults
from trainer.domain.generator.randomness import Draws
from trainer.domain.generator.sizing import NoCableError
from trainer.domain.generator.trial import Trial
from trainer.domain.limits import limits_for
from trainer.domain.vocabulary import Edition


class RedrawError(Exception):
    """A draw that the proof refused; its text names the section and the reason."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """The decisions of a scenario, and the house with the intended proposal in it as the rules judge it."""

    offers: tuple[Offer, ...]
    trial: Trial


def asked_of(draft: Draft, draws: Draws, edition: Edition) -> Asked:
    """The decisions on a house that complies. *Raises* RedrawError.

    Decisions that nothing depends on are left out; what they would set stands in the survey.
    """
    usual, further = candidates(draft)
    trial = _sound(draft, (*usual, *further), edition)
    sizes = {each.role: each for each in (*usual, *further) if each.kind == "cable"}
    first = [each for each in usual if _may_decide(trial, each, sizes)]
    if draft.plan.level == 1:
        offers = tuple(each for each in first if decides(trial, each))[:1]
        _, moved = _clear(draft, offers, edition)
    else:
        reserve = [each for each in further if _may_decide(trial, each, sizes)]
        offers, moved = _evened(draft, trial, first, reserve, draws, edition)
    if len(offers) < STEPS[draft.plan.level][0]:
        raise RedrawError(f"steps: only {len(offers)} decisions on which something depends")
    _forget_what_is_not_asked(draft, offers)
    return Asked(offers=offers, trial=_sound(draft, offers, edition) if moved else trial)


def _sound(draft: Draft, offers: tuple[Offer, ...], edition: Edition) -> Trial:
    """The house as it ought to be, judged. *Raises* RedrawError where it does not comply clearly."""
    decisions = [each.decision for each in offers]
    trial = Trial(draft.house(), decisions, {each.decision.id: each.intended for each in offers}, edition)
    found = faults(trial)
    if found:
        raise RedrawError("proof: " + "; ".join(found))
    return trial


def _may_decide(trial: Trial, offer: Offer, sizes: Mapping[str, Offer]) -> bool:
    """True for what decides alone, and for what may decide together with others of its circuit."""
    if offer.kind == "curve" and not offers_something(trial, offer, sizes.get(offer.role)):
        return False
    return offer.kind in CIRCUIT_KINDS or decides(trial, offer)


def _evened(
    draft: Draft, trial: Trial, usual: list[Offer], further: list[Offer], draws: Draws, edition: Edition
) -> tuple[tuple[Offer, ...], bool]:
    """The decisions within the number of the level, and whether a cable was made longer or shorter for them.

    What decides nothing may be left out without another look at its circuit: the outcome is the same
    whichever of its options is taken.
    """
    offers = evened(usual, further, draft, draws)
    failing, moved = _clear(draft, offers, edition)
    idle = _idle(trial, offers, failing)
    if not idle:
        return offers, moved
    left = [each for each in offers if each.decision.id not in idle]
    more = (each for each in further if each.kind not in CIRCUIT_KINDS)
    return evened(left, more, draft, draws), moved


def _clear(draft: Draft, offers: tuple[Offer, ...], edition: Edition) -> tuple[dict[str, Failing], bool]:
    try:
        return keep_clear(draft, offers, limits_for(edition))
    except NoCableError as error:
        raise RedrawError(f"edge: {error}") from error


def _idle(trial: Trial, offers: tuple[Offer, ...], failing: dict[str, Failing]) -> set[str]:
    """The decisions of circuits, by id, on which nothing depends beside the others that are asked."""
    deciding: set[str] = set()
    for role, combinations in failing.items():
        deciding |= decide_together(offers, role, combinations)
    doubtful = (each for each in offers if each.kind in CIRCUIT_KINDS and each.decision.id not in deciding)
    return {each.decision.id for each in doubtful if not decides(trial, each)}


def _forget_what_is_not_asked(draft: Draft, offers: tuple[Offer, ...]) -> None:
    """What was found in the old board is told as open only where it is."""
    asked = {(each.role, each.kind) for each in offers}
    draft.noticed = {role: found for role, found in draft.noticed.items() if (role, found.kind) in asked}
