"""When a look ends a sitting, when its result is told, and whose it is: by hand from docs/sittings.md."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from types import SimpleNamespace

import pytest

from tests.services.sittings.test_clock import HOUR, sitting
from tests.services.sittings.world import NOON, here, paper
from trainer.services.papers.words import PaperMode, PaperState, ReleasePolicy, SittingState
from trainer.services.sittings.desk import content_of, ends_now, is_told, own
from trainer.services.sittings.errors import NotYoursError
from trainer.services.sittings.records import Sitting

SECOND = timedelta(seconds=1)
MARKED = sitting(state=SittingState.HANDED_IN, grading_number=1)
ANN = here("ann")


@pytest.mark.parametrize(
    ("late", "is_closed", "ends"),
    [
        (-HOUR, False, False),
        # Whoever started in time goes on although the paper is closed.
        (-HOUR, True, False),
        (30 * SECOND, False, False),
        (30 * SECOND, True, False),
        (31 * SECOND, False, True),
        (31 * SECOND, True, True),
    ],
)
def test_a_sitting_with_a_deadline_ends_by_it_alone(late: timedelta, *, is_closed: bool, ends: bool) -> None:
    assert ends_now(sitting(last_seen_at=None), NOON + HOUR + late, is_closed=is_closed) is ends


def test_a_sitting_without_a_deadline_ends_with_its_paper() -> None:
    for is_closed in (False, True):
        assert ends_now(sitting(deadline_at=None), NOON + 1000 * HOUR, is_closed=is_closed) is is_closed


@pytest.mark.parametrize("state", PaperState)
@pytest.mark.parametrize("mode", PaperMode)
def test_a_result_is_told_at_once_in_practice_and_else_with_the_release(state: PaperState, mode: PaperMode) -> None:
    told = mode is PaperMode.PRACTICE or state is PaperState.RELEASED
    assert is_told(ANN, paper(state=state, mode=mode), MARKED, NOON) is told


def test_settled_marks_are_told_from_their_date_unless_a_second_person_must_confirm() -> None:
    settled = paper(state=PaperState.MODERATED, release_policy=ReleasePolicy.ON_DATE, release_at=NOON)
    careful = replace(ANN, organisation=replace(ANN.organisation, release_needs_second_person=True))
    assert not is_told(ANN, settled, MARKED, NOON - SECOND)
    assert is_told(ANN, settled, MARKED, NOON)
    assert not is_told(careful, settled, MARKED, NOON)


def test_a_refresher_is_told_and_nothing_is_before_it_is_handed_in_and_marked() -> None:
    assert is_told(ANN, None, MARKED, NOON)
    for state in set(SittingState) - {SittingState.HANDED_IN}:
        assert not is_told(ANN, None, replace(MARKED, state=state), NOON)
    assert not is_told(ANN, None, replace(MARKED, grading_number=None), NOON)


def test_the_sitting_of_another_and_one_that_is_not_there_look_the_same() -> None:
    held = {"s": sitting(), "b": sitting(id="b", member_id="ben"), "aa": sitting(id="aa", member_id="abe")}
    held_rows: list[bool] = []

    def get(_organisation_id: str, name: str, *, hold: bool) -> Sitting | None:
        held_rows.append(hold)
        return held.get(name)

    stored = SimpleNamespace(sittings=SimpleNamespace(get=get))
    assert own(stored, ANN, "s") is held["s"]
    assert own(stored, replace(ANN, member_id="".join(list("ann"))), "s") is held["s"]
    for name in ("b", "aa", "unknown"):
        with pytest.raises(NotYoursError, match="is not one of yours"):
            own(stored, ANN, name, hold=True)
    # Nobody else writes to it from here only where that is asked for.
    assert held_rows == [False, False, True, True, True]


def test_a_task_that_the_database_lost_is_told_by_its_hash() -> None:
    kept = {"h": SimpleNamespace(content=b"task")}
    stored = SimpleNamespace(tasks=SimpleNamespace(get=kept.get))
    assert content_of(stored, "h") == b"task"
    with pytest.raises(LookupError, match="lost-hash"):
        content_of(stored, "lost-hash")
