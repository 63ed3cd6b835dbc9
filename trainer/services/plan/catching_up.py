"""A plan brought up to date: which occasions are new, and the cards replayed from all of them in the order of time.

A paper counts from the time of its sitting, but is told later: so a card is never moved on from
where it stands, but gone through again from its first occasion. It comes out the same whenever,
and however often, that is done.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from trainer.services.plan.scheduling import CardState, rating_of, reviewed
from trainer.services.plan.sittings import Aims, is_told, occasions_of
from trainer.services.plan.standing import Standing
from trainer.services.plan.storage import Occasion, PlanRepositories, Plans, Review
from trainer.services.plan.words import Rating


@dataclass(frozen=True, slots=True, kw_only=True)
class News:
    """What changed since the plan was last brought up to date; ``sat`` are all occasions of sittings."""

    come: tuple[tuple[Occasion, Rating], ...]
    gone: tuple[Review, ...]
    stale: frozenset[str]
    sat: tuple[Occasion, ...]

    @property
    def moved(self) -> frozenset[str]:
        """The objectives whose cards are gone through again."""
        return frozenset({*self.stale, *(each.objective_id for each, _ in self.come), *_names(self.gone)})

    @property
    def is_any(self) -> bool:
        """True when anything changed."""
        return bool(self.come or self.gone or self.stale)


def news_of(stored: PlanRepositories, learner_id: str, now: datetime, aims: Aims) -> News:
    """What changed; nothing of a sitting whose result the learner may not see yet."""
    plans = stored.plans
    come = [(each, rating(each)) for each in plans.unreviewed(learner_id)]
    all_sat = plans.sat(learner_id)
    known = _by_source(plans.reviews_of(learner_id, [each.sitting_id for each in all_sat]) if all_sat else ())
    told = [each for each in all_sat if is_told(each, now)]
    fresh = any(each.sitting_id not in known or each.is_changed for each in told)
    if not come and not fresh:
        return News(come=(), gone=(), stale=frozenset(), sat=())
    occasions = occasions_of(stored, told, aims)
    gone: list[Review] = []
    for each in told:
        wanted = {one.objective_id: (one, rating(one)) for one in occasions[each.sitting_id]}
        stands = known.get(each.sitting_id, {})
        gone += [review for name, review in stands.items() if name not in wanted or wanted[name][1] != review.rating]
        come += [pair for name, pair in wanted.items() if name not in stands or stands[name].rating != pair[1]]
    sat = tuple(one for listed in occasions.values() for one in listed)
    changed = {one.objective_id for each in told if each.is_changed for one in occasions[each.sitting_id]}
    stale = _stale(plans, learner_id, changed, sat)
    return News(come=tuple(come), gone=tuple(gone), stale=stale, sat=sat)


def replay(plans: Plans, learner_id: str, news: News) -> None:
    """Makes the cards and sums of what moved anew, from all of their occasions."""
    cards: dict[str, CardState] = {}
    for each in plans.reviews(learner_id, news.moved):
        cards[each.objective_id] = reviewed(cards.get(each.objective_id), each.objective_id, each.rating, each.at)
    standings = _standings(plans, learner_id, news.moved, news.sat)
    plans.forget(learner_id, [name for name in sorted(news.moved) if name not in cards])
    plans.keep(learner_id, cards.values(), [standings[name] for name in cards])


def rating(each: Occasion) -> Rating:
    """The rating of an occasion."""
    said = json.loads(each.certainty_json)
    return rating_of(each.marks, each.marks_available, tuple(int(value) for value in said.values()))


def _stale(plans: Plans, learner_id: str, changed: Collection[str], sat: Sequence[Occasion]) -> frozenset[str]:
    """The objectives of changed sittings whose sums are not those that stand in the plan."""
    if not changed:
        return frozenset()
    wanted = _standings(plans, learner_id, changed, sat)
    stand = {each.objective_id: each for each in plans.standings(learner_id)}
    return frozenset(name for name in changed if wanted.get(name) != stand.get(name))


def _standings(
    plans: Plans, learner_id: str, objective_ids: Collection[str], sat: Iterable[Occasion]
) -> Mapping[str, Standing]:
    """What practice and sittings together earned towards objectives."""
    sums = {each.objective_id: each for each in plans.practised(learner_id, objective_ids)}
    for each in sat:
        if each.objective_id in objective_ids:
            sums[each.objective_id] = _added(sums.get(each.objective_id), each)
    return sums


def _added(known: Standing | None, each: Occasion) -> Standing:
    """The sums with one more occasion."""
    before = known or Standing(objective_id=each.objective_id, decisions=0, marks=0, marks_available=0, last_at=each.at)
    return Standing(
        objective_id=each.objective_id,
        decisions=before.decisions + each.decisions,
        marks=before.marks + each.marks,
        marks_available=before.marks_available + each.marks_available,
        last_at=max(before.last_at, each.at),
    )


def _by_source(reviews: Iterable[Review]) -> dict[str, dict[str, Review]]:
    found: dict[str, dict[str, Review]] = {}
    for each in reviews:
        found.setdefault(each.source_id, {})[each.objective_id] = each
    return found


def _names(reviews: Iterable[Review]) -> Iterable[str]:
    return (each.objective_id for each in reviews)
