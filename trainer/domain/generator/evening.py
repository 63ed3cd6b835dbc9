"""As many decisions as a level has: some are taken for the learner, or further ones are asked."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from trainer.domain.generator.draft import Draft
from trainer.domain.generator.offers import Offer
from trainer.domain.generator.randomness import Draws

STEPS: Final = {1: (1, 1), 2: (4, 8), 3: (4, 8), 4: (10, 13), 5: (13, 17)}
"""The fewest and the most decisions, by level."""


def evened(offers: Sequence[Offer], further: Iterable[Offer], draft: Draft, draws: Draws) -> tuple[Offer, ...]:
    """The decisions of a scenario within the number of its level, in their order.

    What the trap is about and what was found in the old board is always asked.
    """
    fewest, most = STEPS[draft.plan.level]
    kept = list(offers)
    if len(kept) > most:
        spare = draws.shuffled([each for each in kept if not _is_needed(each, draft)])
        dropped = {each.decision.id for each in spare[: len(kept) - most]}
        return tuple(each for each in kept if each.decision.id not in dropped)
    asked = {each.decision.id for each in kept}
    for each in further:
        if len(kept) >= fewest:
            break
        if each.decision.id not in asked:
            kept.insert(_place(each, kept), each)
    return tuple(kept)


def _is_needed(each: Offer, draft: Draft) -> bool:
    """True for decisions of the trap's kinds, and for what stands open in the old board."""
    return each.kind in draft.plan.focus.decisions or each.role in draft.noticed


def _place(each: Offer, kept: list[Offer]) -> int:
    """After the last decision on the same work, else at the end."""
    places = [number for number, other in enumerate(kept, start=1) if other.role == each.role]
    return max(places, default=len(kept))


def of_circuits(found: Iterable[Iterable[Offer]]) -> Iterator[Offer]:
    """All decisions of several circuits, without those on the place of the way."""
    for offers in found:
        yield from (each for each in offers if each.kind not in ("way", "type", "place"))
