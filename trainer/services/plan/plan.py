"""The plan of a learner, brought up to date from what was practised."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from trainer.services.plan.catching_up import News, news_of, replay
from trainer.services.plan.scheduling import CardState, recall
from trainer.services.plan.sittings import Aims, no_aims
from trainer.services.plan.standing import Standing
from trainer.services.plan.storage import Done, OpenPage, PlanRepositories
from trainer.services.plan.words import Why
from trainer.services.scopes import Scopes

_OPEN_FOR = timedelta(days=30)
_OPEN_SHOWN = 5
# Objectives nobody has met yet are offered in this order: what most tasks turn on first.
FIRST_STEPS = ("LO01", "LO02", "LO12", "LO26", "LO08", "LO04", "LO27", "LO05", "LO03", "LO20", "LO45", "LO48")


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """One objective to take next, and why. ``recall`` is what the scheduler expects, None for a new one."""

    objective_id: str
    why: Why
    recall: float | None = None
    due_at: datetime | None = None
    is_due: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanNow:
    """A learner's plan at one moment: what is offered, the most pressing first; the cards; the standings."""

    offers: tuple[Offer, ...]
    cards: Mapping[str, CardState]
    standings: Mapping[str, Standing]
    next_due_at: datetime | None

    @property
    def due(self) -> tuple[Offer, ...]:
        """What should be met again now."""
        return tuple(each for each in self.offers if each.is_due)

    def is_due(self, objective_id: str) -> bool:
        """True when an objective should be met again now."""
        return any(each.objective_id == objective_id for each in self.due)

    @property
    def first(self) -> Offer:
        """What to take next."""
        return self.offers[0]


@dataclass(frozen=True, kw_only=True)
class Planning:
    """The use cases of the plan."""

    storage: Scopes[PlanRepositories]
    now: Callable[[], datetime]
    objectives: Sequence[str]
    aims: Aims = no_aims

    def plan(self, learner_id: str | None) -> PlanNow:
        """The plan, brought up to date. Without a learner everything is new."""
        if learner_id is not None:
            self.catch_up(learner_id)
        return self.as_it_stands(learner_id)

    def as_it_stands(self, learner_id: str | None) -> PlanNow:
        """The plan without what came since it was last looked at; writes nothing."""
        if learner_id is None:
            return self._plan((), (), ())
        with self.storage.reading() as stored:
            plans = stored.plans
            return self._plan(plans.cards(learner_id), plans.standings(learner_id), plans.lost_last(learner_id))

    def catch_up(self, learner_id: str) -> int:
        """Lets every occasion since the last time move its card, once; gives how many did."""
        with self.storage.reading() as stored:
            if not self._news(stored, learner_id).is_any:
                return 0
        with self.storage.writing() as stored:
            stored.plans.hold(learner_id)
            news = self._news(stored, learner_id)
            stored.plans.uncount(learner_id, news.gone)
            stored.plans.count(learner_id, news.come)
            replay(stored.plans, learner_id, news)
        return len(news.come)

    def _news(self, stored: PlanRepositories, learner_id: str) -> News:
        return news_of(stored, learner_id, self.now(), self.aims)

    def open_pages(self, learner_id: str | None) -> Sequence[OpenPage]:
        """Tasks that were begun in the last weeks and wait for an answer, newest first."""
        if learner_id is None:
            return ()
        with self.storage.reading() as stored:
            return stored.plans.open_pages(learner_id, since=self.now() - _OPEN_FOR, limit=_OPEN_SHOWN)

    def record(self, learner_id: str, *, page: int, size: int) -> tuple[Sequence[Done], int]:
        """One page of everything that was handed in, newest first, and how many there are in all."""
        with self.storage.reading() as stored:
            found = stored.plans.done(learner_id, offset=(page - 1) * size, limit=size)
            return found, stored.plans.count_done(learner_id)

    def _plan(self, cards: Sequence[CardState], standings: Sequence[Standing], lost: Sequence[str]) -> PlanNow:
        now = self.now()
        known = {each.objective_id: each for each in cards}
        stands = {each.objective_id: each for each in standings}
        ordered = sorted(cards, key=lambda each: (recall(each, now), each.due_at, each.objective_id))
        offers = [_of_card(each, each.objective_id in lost, now) for each in ordered if each.due_at <= now]
        # What was just missed comes before anything new, also before it is due.
        offers += [_of_card(each, True, now) for each in ordered if each.due_at > now and each.objective_id in lost]
        offers += [Offer(objective_id=each, why=Why.NEW) for each in _new(self.objectives, known)]
        offers += _weak([each for each in stands.values() if each.objective_id not in {o.objective_id for o in offers}])
        later = [each.due_at for each in cards if each.due_at > now]
        return PlanNow(offers=tuple(offers), cards=known, standings=stands, next_due_at=min(later, default=None))


def _of_card(card: CardState, missed: bool, now: datetime) -> Offer:
    return Offer(
        objective_id=card.objective_id,
        why=Why.MISSED if missed else Why.DUE,
        recall=recall(card, now),
        due_at=card.due_at,
        is_due=card.due_at <= now,
    )


def _new(objectives: Sequence[str], known: Mapping[str, CardState]) -> list[str]:
    first = [each for each in FIRST_STEPS if each in objectives]
    return [each for each in dict.fromkeys([*first, *objectives]) if each not in known]


def _weak(standings: Sequence[Standing]) -> list[Offer]:
    """The rest, the one with the lowest end of its interval first."""
    ordered = sorted(standings, key=lambda each: (each.interval.low, each.objective_id))
    return [Offer(objective_id=each.objective_id, why=Why.WEAK) for each in ordered]
