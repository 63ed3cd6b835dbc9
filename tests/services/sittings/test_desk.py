"""When a look ends a sitting, when its result is told, and whose it is: by hand from docs/sittings.md."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from types import SimpleNamespace
from typing import Any

import pytest

from tests.services.sittings.test_clock import HOUR, sitting
from tests.services.sittings.world import NOON, here, paper
from trainer.services.papers.words import HandedInBy, PaperMode, PaperState, ReleasePolicy, SittingState
from trainer.services.sittings.desk import SittingDesk, content_of, ends_now, is_told, own
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


class Shelf:
    """A paper, and what is written of its sittings."""

    def __init__(self, state: PaperState = PaperState.OPEN) -> None:
        self.state, self.changed, self.breaks, self.told = state, [], [], []
        self.sittings = SimpleNamespace(
            change=self.changed.append, end_break=lambda name, _at: self.breaks.append(name)
        )
        self.papers = SimpleNamespace(get=lambda _place, name: paper(state=self.state) if name == "paper" else None)
        self.audit = SimpleNamespace(append=lambda event: self.told.append((event.action, event.facts)))


def desk() -> SittingDesk:
    handed_in: dict[str, Any] = {"storage": None, "timely": None, "form": None, "catalogue": ()}
    return SittingDesk(**handed_in, now=lambda: NOON, new_id=lambda: "new")


def looked(shelf: Shelf, at: Sitting, now: datetime, **how: bool) -> Sitting:
    return desk().looked_at(shelf, at, now, **how)  # type: ignore[arg-type]


@pytest.mark.parametrize("by", HandedInBy)
def test_whoever_ends_a_sitting_ends_it_now_and_its_time_when_that_was_up(by: HandedInBy) -> None:
    shelf = Shelf()
    found = desk().ended(shelf, sitting(), NOON + 2 * SECOND, ANN.actor, by)  # type: ignore[arg-type]
    assert found.handed_in_at == (NOON + HOUR if by is HandedInBy.TIME else NOON + 2 * SECOND)
    assert (found.handed_in_by, shelf.told) == (by, [("sitting.handed_in", {"by": by.value})])


def test_unless_it_is_said_no_runner_marks_what_is_handed_in() -> None:
    assert not desk().is_runner_at_work()


def test_a_look_notes_when_it_was_and_a_later_look_at_what_ended_changes_nothing() -> None:
    shelf = Shelf()
    found = looked(shelf, sitting(), NOON + SECOND)
    assert (found.last_seen_at, shelf.changed, shelf.told) == (NOON + SECOND, [found], [])
    assert looked(Shelf(), MARKED, NOON + 9 * HOUR) is MARKED
    # Nothing new, or the caller stores more at once.
    for at, how in ((sitting(last_seen_at=NOON + SECOND), {}), (sitting(), {"stores": False})):
        shelf = Shelf()
        looked(shelf, at, NOON + SECOND, **how)
        assert shelf.changed == []


def test_by_its_time_a_sitting_ends_when_that_was_up_whenever_it_is_noticed() -> None:
    shelf = Shelf()
    found = looked(shelf, sitting(), NOON + 3 * HOUR, stores=False)
    assert (found.state, found.handed_in_by, found.handed_in_at) == (
        SittingState.HANDED_IN, HandedInBy.TIME, NOON + HOUR
    )  # fmt: skip
    assert (shelf.changed, shelf.breaks, shelf.told) == ([found], [], [("sitting.handed_in", {"by": "time"})])


def test_a_break_ends_with_its_sitting_and_what_it_counted_is_kept() -> None:
    resting = sitting(state=SittingState.PAUSED, paused_at=NOON, rest_breaks_s=600)
    shelf = Shelf()
    found = looked(shelf, resting, NOON + 3 * HOUR)
    # An hour and the ten minutes of the break that were allowed.
    assert (found.handed_in_at, found.paused_s, found.paused_at) == (NOON + HOUR + 600 * SECOND, 600, None)
    assert (found.state, shelf.breaks) == (SittingState.HANDED_IN, ["s"])


@pytest.mark.parametrize("state", PaperState)
def test_without_a_deadline_staff_end_a_sitting_by_closing_its_paper(state: PaperState) -> None:
    endless = sitting(deadline_at=None)
    shelf = Shelf(state)
    found = looked(shelf, endless, NOON + HOUR)
    closed = state in {PaperState.CLOSED, PaperState.MODERATED, PaperState.RELEASED}
    assert found.handed_in_by is (HandedInBy.STAFF if closed else None)
    assert found.handed_in_at == (NOON + HOUR if closed else None)
    assert shelf.told == ([("sitting.handed_in", {"by": "staff"})] if closed else [])
    # One with a deadline goes on, and so does a refresher, or one whose paper is gone.
    for other in (sitting(), replace(endless, paper_id=None), replace(endless, paper_id="gone")):
        assert looked(Shelf(state), other, NOON + SECOND).is_open


def test_a_clock_that_was_set_back_is_noted_with_how_far() -> None:
    for at in (
        sitting(last_seen_at=NOON + 90 * SECOND),
        sitting(deadline_at=None, paused_at=NOON, state=SittingState.PAUSED),
    ):
        shelf = Shelf()
        now = (at.last_seen_at or NOON) - 60 * SECOND
        looked(shelf, at, now)
        assert shelf.told == [("sitting.clock_set_back", {"by_s": 60})]
