"""The proof of a scenario: the intended proposal complies, each trap fails by its rule, nothing on the edge."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from trainer.domain.answers.decisions import Option
from trainer.domain.findings import Verdict
from trainer.domain.generator.data import TrapSpec
from trainer.domain.generator.draft import Draft
from trainer.domain.generator.margin import on_the_edge
from trainer.domain.generator.offers import Offer
from trainer.domain.generator.randomness import Draws
from trainer.domain.generator.trial import Case, Trial
from trainer.domain.tasks import Trap
from trainer.domain.vocabulary import Outcome

_MOST_TRAPS = {1: 3, 2: 4, 3: 6, 4: 8, 5: 10}
"""How many traps a key lists, by level."""


def faults(trial: Trial) -> list[str]:
    """What keeps the intended proposal from being one: failing, undetermined, or on the edge."""
    return [
        _told(case, case.verdict)
        for case in trial.cases
        if case.verdict is not None and (case.verdict.outcome in _UNFIT or on_the_edge(case.rule.id, case.verdict))
    ]


_UNFIT = frozenset({Outcome.DOES_NOT_COMPLY, Outcome.UNDETERMINED})


def _told(case: Case, verdict: Verdict) -> str:
    """A verdict in one line, for the reason of a redraw."""
    parts = (case.rule.id, case.path, verdict.outcome, verdict.case, verdict.value, verdict.limit, *verdict.missing)
    return " ".join(str(part) for part in parts)


def planted(draft: Draft, trial: Trial, offers: Sequence[Offer], draws: Draws) -> tuple[Trap, ...]:
    """The traps that this scenario holds, the one that it was planned round first, the others as drawn.

    An honest house holds none, nor does one in which the first does not bite. A trap is listed only when its
    option, put into the intended proposal, fails by one of its rules.
    """
    focus = draft.plan.focus
    if focus.honest:
        return ()
    others = draws.shuffled([trap for trap in draft.data.traps.values() if trap.id != focus.id and not trap.honest])
    found: list[Trap] = []
    taken: set[tuple[str, str]] = set()
    for trap in (focus, *others):
        if len(found) >= _MOST_TRAPS[draft.plan.level]:
            break
        bite = _bite(trap, draft, trial, offers, taken)
        if bite is not None:
            found.append(bite)
            taken.add((bite.decision, bite.option))
        elif trap is focus:
            break
    return tuple(found)


def _bite(
    trap: TrapSpec, draft: Draft, trial: Trial, offers: Sequence[Offer], taken: Collection[tuple[str, str]]
) -> Trap | None:
    """The trap at the first option that fails by one of its rules and is not another trap's already."""
    for offer, option in _tempting(trap, draft, offers):
        if (offer.decision.id, option.id) in taken:
            continue
        failing = trial.failing_rules({offer.decision.id: option.id}, trap.rules)
        rule = next((each for each in trap.rules if each in failing), None)
        if rule is not None:
            return _trap(trap, offer, option, rule)
    return None


def _trap(spec: TrapSpec, offer: Offer, option: Option, rule: str) -> Trap:
    return Trap(id=spec.id, misconception=spec.misconception, decision=offer.decision.id, option=option.id, rule=rule)


def _tempting(trap: TrapSpec, draft: Draft, offers: Sequence[Offer]) -> Iterator[tuple[Offer, Option]]:
    """The offers and options in which a trap may lie, if the house is of its kind."""
    wants = trap.wants
    if wants.premises and draft.plan.archetype.premises not in wants.premises:
        return
    if wants.systems and draft.supply.earthing_system not in wants.systems:
        return
    if wants.boards and draft.plan.board.style not in wants.boards:
        return
    for offer in offers:
        if offer.kind not in trap.decisions or not _about(trap, offer, draft):
            continue
        for name in trap.options:
            option = offer.wrong(name)
            if trap.existing and not _as_found(offer, name, draft):
                continue
            if option is not None and trap.side in ("", offer.side_of(option)):
                yield offer, option


def _as_found(offer: Offer, option: str, draft: Draft) -> bool:
    """True for the option that keeps what was found wrong."""
    found = draft.noticed.get(offer.role)
    return found is not None and found.faulty and (found.kind, found.option) == (offer.kind, option)


def _about(trap: TrapSpec, offer: Offer, draft: Draft) -> bool:
    """True when an offer is about work of the kind that the trap asks for."""
    chosen = draft.origin.get(offer.role)
    if chosen is None:
        return trap.shared or offer.kind not in ("type", "sensitivity", "rating", "direction")
    if trap.shared or trap.existing is draft.is_wanted(offer.role):
        return False
    wants = trap.wants
    return (
        (not wants.roles or chosen.work.role in wants.roles)
        and (not wants.families or chosen.family.id in wants.families)
        and (not wants.variants or chosen.variant.id in wants.variants)
    )
