"""Histories of practice, each of the same number of attempts, with the plan that follows from them."""

from __future__ import annotations

from datetime import datetime, timedelta

from trainer.cli.inventing.workshop import Workshop
from trainer.domain.tasks import TaskKind
from trainer.persistence.plan.repositories import plan_repositories
from trainer.services.notes.reading import notes
from trainer.services.plan.plan import Planning
from trainer.services.practice.tasks import Practice
from trainer.services.scenarios import make_judged, scenarios
from trainer.services.storage import LearnerRecord

LENGTH = 20
"""Attempts of each history."""
DAYS = 12
"""How long each takes, at most."""
_KINDS = (
    *(TaskKind.QUESTION,) * 12,
    *(TaskKind.MEASURE,) * 3,
    *(TaskKind.INSPECT,) * 2,
    *(TaskKind.CHOOSE,) * 3,
)
_AGAIN = 0.15
_SEEDS = 2**63


def practised(shop: Workshop, number: int, today: datetime) -> str:
    """A learner with one history that ends before ``today``; gives the id."""
    shop.clock.now = today - timedelta(days=DAYS)
    learner_id = shop.new_id()
    with shop.storage.writing() as stored:
        stored.learners.add(LearnerRecord(id=learner_id, created_at=shop.clock(), last_seen_at=today))
    practice = Practice(
        storage=shop.storage,
        make=make_judged,
        form=shop.form,
        catalogue=tuple(scenarios().misconceptions.values()),
        now=shop.clock,
        new_id=shop.new_id,
        new_seed=lambda: shop.random.randrange(_SEEDS),
        solutions=shop.solutions,
    )
    ability = shop.random.uniform(0.35, 0.95)
    handed_in = 0
    while handed_in < LENGTH:
        handed_in += _tried(shop, practice, learner_id, ability, LENGTH - handed_in)
    # A task that was begun and left.
    practice.begin(1 + number % 4, learner_id)
    _plan(shop).catch_up(learner_id)
    return learner_id


def _tried(shop: Workshop, practice: Practice, learner_id: str, ability: float, most: int) -> int:
    """One task, answered once or, now and then, again; gives how often."""
    shop.clock.pass_by(hours=shop.random.uniform(1, 20 * DAYS / LENGTH))
    kind = shop.random.choice(_KINDS)
    page_id = practice.begin(shop.random.randint(1, 4), learner_id, kind=kind)
    times = 2 if most > 1 and shop.random.random() < _AGAIN else 1
    for number in range(1, times + 1):
        shop.clock.pass_by(minutes=shop.random.uniform(1, 12))
        opened = practice.open(page_id)
        assert opened is not None, "the page was just made"  # noqa: S101 - tells mypy
        answers = shop.answers(opened.task, ability if number == 1 else 1.0)
        practice.hand_in(opened, number, answers.given, answers.certainty, learner_id)
    return times


def _plan(shop: Workshop) -> Planning:
    return Planning(storage=shop.storage.scopes(plan_repositories), now=shop.clock, objectives=tuple(notes()))
