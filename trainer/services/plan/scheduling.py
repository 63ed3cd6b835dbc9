"""When an objective is to be met again: the library's scheduler, without chance and with our clock.

*Source*: the scheduler of the ``fsrs`` library, version 6, with its default parameters. Objectives are met
anew by another variant each time, so the steps of minutes for cards that repeat are left out.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache

from fsrs import Card, Scheduler
from fsrs import Rating as Grade

from trainer.services.plan.words import Rating

LONGEST_INTERVAL_DAYS = 365
_GOOD_SHARE, _POOR_SHARE = 1.0, 0.5
_CERTAIN = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class CardState:
    """One objective of a learner: the scheduler's own state as text, when it is due, how often it was met."""

    objective_id: str
    state_json: str
    due_at: datetime
    last_reviewed_at: datetime | None
    reviews: int


@cache
def scheduler() -> Scheduler:
    """The scheduler; nothing of it is drawn."""
    return Scheduler(
        enable_fuzzing=False, learning_steps=(), relearning_steps=(), maximum_interval=LONGEST_INTERVAL_DAYS
    )


def reviewed(card: CardState | None, objective_id: str, rating: Rating, at: datetime) -> CardState:
    """The card after one more occasion; ``card`` is None where there was none before.

    An occasion before the last one counts as at the last one, so that a clock that jumps back does no harm.
    """
    if card is not None and card.last_reviewed_at is not None:
        at = max(at, card.last_reviewed_at)
    known = _card(card, at)
    after, _log = scheduler().review_card(known, Grade[rating.name.title()], at.astimezone(UTC))
    return CardState(
        objective_id=objective_id,
        state_json=json.dumps(after.to_dict(), sort_keys=True),
        due_at=after.due,
        last_reviewed_at=at,
        reviews=(card.reviews if card else 0) + 1,
    )


def recall(card: CardState, now: datetime) -> float:
    """The probability that it would be met now, as the scheduler reckons; 0 to 1."""
    return float(scheduler().get_card_retrievability(_card(card, now), now.astimezone(UTC)))


def _card(card: CardState | None, at: datetime) -> Card:
    if card is None:
        return Card(card_id=1, due=at.astimezone(UTC))
    return Card.from_dict(json.loads(card.state_json))


def rating_of(marks: int, available: int, certainties: tuple[int, ...] = ()) -> Rating:
    """The rating of one occasion: by the share of the marks, a full one by how sure the learner was.

    Half of the marks or less is again, less than all is hard. All of them is good; easy where everything was
    said with certainty, hard where everything was a guess.
    """
    share = marks / available if available else 0.0
    if share <= _POOR_SHARE:
        return Rating.AGAIN
    if share < _GOOD_SHARE:
        return Rating.HARD
    if certainties and min(certainties) == _CERTAIN:
        return Rating.EASY
    if certainties and max(certainties) == 0:
        return Rating.HARD
    return Rating.GOOD
