"""Cards move as the library's documented scheduler says, with our clock and without chance."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from fsrs import Card, Scheduler
from fsrs import Rating as Grade
from hypothesis import given
from hypothesis import strategies as st

from tests.draws import UNHURRIED
from trainer.services.plan.scheduling import CardState, rating_of, recall, reviewed, scheduler
from trainer.services.plan.words import Rating

START = datetime(2022, 11, 29, 12, 30, tzinfo=UTC)
GOOD, AGAIN = Grade.Good, Grade.Again
RATINGS = (GOOD, GOOD, GOOD, GOOD, GOOD, GOOD, AGAIN, AGAIN, GOOD, GOOD, GOOD, GOOD, GOOD)
# The intervals in days that the library's own published tests state for these ratings (py-fsrs 6, test_review_card).
DOCUMENTED = [0, 2, 11, 46, 163, 498, 0, 0, 2, 4, 7, 12, 21]


def met(*ratings: Rating) -> list[CardState]:
    """The card after each occasion, each at the moment when it was due."""
    cards: list[CardState] = []
    at = START
    for rating in ratings:
        cards.append(reviewed(cards[-1] if cards else None, "LO04", rating, at))
        at = cards[-1].due_at
    return cards


def days(card: CardState) -> int:
    assert card.last_reviewed_at is not None
    return (card.due_at - card.last_reviewed_at).days


def test_the_library_gives_the_intervals_that_it_documents() -> None:
    plain = Scheduler(enable_fuzzing=False)
    card, at, found = Card(card_id=1, due=START), START, []
    for rating in RATINGS:
        card, _log = plain.review_card(card, rating, at)
        assert card.last_review is not None
        found.append((card.due - card.last_review).days)
        at = card.due
    assert found == DOCUMENTED


def test_once_the_minutes_are_over_our_intervals_are_the_documented_ones() -> None:
    """Without steps of minutes the first day falls away; after it 2, 11, 46, 163 days as documented."""
    assert [days(each) for each in met(*[Rating.GOOD] * 4)] == DOCUMENTED[1:5]


@pytest.mark.parametrize(("rating", "first"), [(Rating.AGAIN, 1), (Rating.HARD, 1), (Rating.GOOD, 2), (Rating.EASY, 8)])
def test_the_first_interval_is_the_published_initial_stability(rating: Rating, first: int) -> None:
    """By hand: at 90 % the interval is the initial stability, 0.212, 1.2931, 2.3065, 8.2956 days, at least one."""
    assert days(met(rating)[0]) == first


def test_nothing_is_drawn_and_the_longest_interval_is_a_year() -> None:
    assert not scheduler().enable_fuzzing
    assert met(*[Rating.GOOD] * 9) == met(*[Rating.GOOD] * 9)
    assert days(met(*[Rating.EASY] * 9)[-1]) == 365


def test_a_miss_brings_the_objective_back_sooner() -> None:
    before, after = met(Rating.GOOD, Rating.GOOD, Rating.GOOD, Rating.AGAIN)[-2:]
    assert days(after) < days(before)


def test_at_the_due_day_the_chance_to_meet_it_is_ninety_per_cent() -> None:
    """The definition of the interval, up to its rounding to whole days."""
    card = met(Rating.GOOD, Rating.GOOD, Rating.GOOD)[-1]
    assert recall(card, card.due_at) == pytest.approx(0.9, abs=0.005)
    assert recall(card, START + timedelta(days=13)) > 0.99


def test_a_clock_that_jumps_back_does_no_harm() -> None:
    card = met(Rating.GOOD)[0]
    again = reviewed(card, "LO04", Rating.GOOD, START - timedelta(days=3))
    assert again.last_reviewed_at == START
    assert again.reviews == 2


@UNHURRIED
@given(st.lists(st.tuples(st.sampled_from(list(Rating)), st.integers(0, 900)), min_size=1, max_size=30))
def test_whatever_happens_the_card_is_due_later_and_its_recall_is_a_chance(steps: list[tuple[Rating, int]]) -> None:
    card, at = None, START
    for rating, later in steps:
        at += timedelta(days=later)
        card = reviewed(card, "LO01", rating, at)
        assert timedelta(days=1) <= card.due_at - at <= timedelta(days=365)
        assert 0.0 <= recall(card, at + timedelta(days=later)) <= 1.0


@pytest.mark.parametrize(
    ("marks", "available", "sure", "rating"),
    [
        (0, 4, (), Rating.AGAIN),
        (2, 4, (3,), Rating.AGAIN),
        (3, 4, (3,), Rating.HARD),
        (4, 4, (), Rating.GOOD),
        (4, 4, (1, 3), Rating.GOOD),
        (4, 4, (3, 3), Rating.EASY),
        (4, 4, (0,), Rating.HARD),
        (0, 0, (), Rating.AGAIN),
    ],
)
def test_an_occasion_is_rated_by_marks_and_certainty(
    marks: int, available: int, sure: tuple[int, ...], rating: Rating
) -> None:
    assert rating_of(marks, available, sure) is rating
