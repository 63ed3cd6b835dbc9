"""States of a paper: which step leads where, and what the clock does."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from itertools import pairwise

import pytest

from tests.persistence.papers.test_papers import PAPER
from tests.web.conftest import NOON
from trainer.services.papers.errors import PaperStateError
from trainer.services.papers.states import STEPS, check_editable, may_start, moved, state_at
from trainer.services.papers.words import PaperState, ReleasePolicy

HOUR = timedelta(hours=1)


def test_the_way_leads_through_all_states_and_never_skips_one() -> None:
    for state, following in pairwise(PaperState):
        assert moved(replace(PAPER, state=state), following).state is following
    for state, steps in STEPS.items():
        order = list(PaperState)
        assert all(abs(order.index(state) - order.index(to)) == 1 for to in steps)


@pytest.mark.parametrize("to", list(PaperState))
def test_a_released_paper_goes_nowhere(to: PaperState) -> None:
    with pytest.raises(PaperStateError):
        moved(replace(PAPER, state=PaperState.RELEASED), to)


@pytest.mark.parametrize(
    ("minutes", "expected"),
    [
        (-1, PaperState.LOCKED),
        (0, PaperState.OPEN),
        (59, PaperState.OPEN),
        (60, PaperState.CLOSED),
        (61, PaperState.CLOSED),
    ],
)
def test_the_window_opens_at_its_first_moment_and_closes_at_its_last(minutes: int, expected: PaperState) -> None:
    paper = replace(PAPER, state=PaperState.LOCKED, opens_at=NOON, closes_at=NOON + HOUR)
    now = NOON + timedelta(minutes=minutes)
    assert state_at(paper, now) is expected
    assert may_start(paper, now) is (expected is PaperState.OPEN)


def test_the_clock_opens_no_draft_and_settles_nothing() -> None:
    for state in (PaperState.DRAFT, PaperState.CLOSED, PaperState.RELEASED):
        paper = replace(PAPER, state=state, opens_at=NOON - HOUR, closes_at=NOON - HOUR / 2)
        assert state_at(paper, NOON) is state


def test_settled_marks_are_released_on_their_date_unless_a_second_person_must_confirm() -> None:
    paper = replace(PAPER, state=PaperState.MODERATED, release_policy=ReleasePolicy.ON_DATE, release_at=NOON)
    assert state_at(paper, NOON - HOUR) is PaperState.MODERATED
    assert state_at(paper, NOON) is PaperState.RELEASED
    assert state_at(paper, NOON + HOUR) is PaperState.RELEASED
    assert state_at(paper, NOON, needs_second_person=True) is PaperState.MODERATED
    assert state_at(replace(paper, release_policy=ReleasePolicy.BY_HAND), NOON) is PaperState.MODERATED


@pytest.mark.parametrize("state", PaperState)
def test_only_settled_marks_are_released_by_their_date(state: PaperState) -> None:
    paper = replace(PAPER, state=state, release_policy=ReleasePolicy.ON_DATE, release_at=NOON - HOUR)
    assert state_at(paper, NOON) is (PaperState.RELEASED if state is PaperState.MODERATED else state)


@pytest.mark.parametrize("state", PaperState)
def test_a_paper_is_begun_while_it_is_open_and_edited_while_it_is_a_draft(state: PaperState) -> None:
    paper = replace(PAPER, state=state)
    assert may_start(paper, NOON) is (state is PaperState.OPEN)
    if state is PaperState.DRAFT:
        check_editable(paper)
        return
    with pytest.raises(PaperStateError, match="only a draft"):
        check_editable(paper)
