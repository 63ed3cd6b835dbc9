"""Marks that count, and passing: by hand from the rules in docs/papers.md."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.persistence.papers.test_papers import PAPER
from tests.web.conftest import NOON
from trainer.services.papers.counting import by_sitting, counted, passed, percent, total
from trainer.services.papers.records import ItemMark, Moderation, SittingLine
from trainer.services.papers.words import ModerationKind, SittingState

ITEMS = tuple(
    ItemMark(sitting_id=sitting, position=position, slot=1, content_hash="h", marks=marks, marks_available=10)
    for sitting, position, marks in (("a", 1, 4), ("a", 2, 10), ("b", 1, 0))
)
CHANGE = Moderation(
    id="one", organisation_id="college", paper_id="paper", kind=ModerationKind.MARK_CHANGED, sitting_id="a", position=1,
    slot=1, marks_before=4, marks_after=6, reason="half right", made_by="m", made_at=NOON,
)  # fmt: skip
VOID = replace(CHANGE, id="two", kind=ModerationKind.ITEM_VOIDED, sitting_id=None, marks_before=None, marks_after=None)
LINE = SittingLine(
    id="a", member_id="m", display_name="", number=1, candidate_number="12345", variant=1, state=SittingState.HANDED_IN,
    started_at=NOON, deadline_at=None, paused_s=0, handed_in_at=NOON, handed_in_by=None, grading_number=1, marks=59,
    marks_available=99, safe_to_energise=True,
)  # fmt: skip


def marks(*changes: Moderation) -> list[tuple[int, int]]:
    return [(each.marks, each.marks_available) for each in counted(ITEMS, changes)]


def test_without_changes_the_graded_marks_count() -> None:
    assert marks() == [(4, 10), (10, 10), (0, 10)]


def test_a_changed_mark_counts_for_its_own_sitting_only() -> None:
    assert marks(CHANGE) == [(6, 10), (10, 10), (0, 10)]


def test_a_changed_mark_counts_for_its_own_task_only() -> None:
    assert marks(replace(CHANGE, position=2, marks_after=3)) == [(4, 10), (3, 10), (0, 10)]
    assert marks(replace(CHANGE, position=3, marks_after=3)) == marks()


@pytest.mark.parametrize(("after", "counts"), [(-5, 0), (0, 0), (10, 10), (11, 10), (None, 4)])
def test_a_changed_mark_counts_within_its_task_and_without_a_number_not_at_all(after: int | None, counts: int) -> None:
    assert marks(replace(CHANGE, marks_after=after))[0] == (counts, 10)


def test_of_several_changes_the_last_counts() -> None:
    assert marks(CHANGE, replace(CHANGE, id="three", marks_after=5)) == [(5, 10), (10, 10), (0, 10)]


def test_a_change_that_was_taken_back_counts_no_more() -> None:
    assert marks(replace(CHANGE, withdrawn_at=NOON)) == marks()


def test_a_voided_item_counts_for_nobody_whatever_was_changed_in_it() -> None:
    assert marks(CHANGE, VOID) == [(0, 0), (10, 10), (0, 0)]
    assert total(counted(ITEMS, [VOID])) == (10, 10)


def test_an_item_is_voided_where_nothing_can_be_earned_and_its_share_is_what_was_earned_of_it() -> None:
    graded, full, voided = counted(ITEMS, [replace(VOID, sitting_id="b")])
    assert [each.is_voided for each in (graded, full, voided)] == [False, False, True]
    # By hand: four of ten, all of ten, nothing of nothing.
    assert [each.share for each in (graded, full, voided)] == [0.4, 1.0, 0.0]


def test_items_are_held_by_sitting_in_their_order() -> None:
    found = by_sitting(counted(ITEMS, []))
    assert {name: [each.graded.position for each in listed] for name, listed in found.items()} == {
        "a": [1, 2],
        "b": [1],
    }


@pytest.mark.parametrize(
    ("marks", "available", "expected"),
    # 59/99 is 59.6 %; nobody passes at 60 by rounding.
    [(59, 99, 59), (60, 100, 60), (0, 10, 0), (10, 10, 100), (None, 10, None), (5, 0, None)],
)
def test_percent_are_cut_off(marks: int | None, available: int, expected: int | None) -> None:
    assert percent(marks, available) == expected


@pytest.mark.parametrize(
    ("pass_percent", "critical", "marks", "safe", "expected"),
    [
        (60, False, 59, True, False),
        (59, False, 59, True, True),
        (None, False, 59, True, None),
        (50, True, 99, False, False),
        (50, False, 99, False, True),
        (None, True, 99, False, False),
        (50, False, None, True, None),
        (50, True, 99, True, True),
        # Nobody said whether it is safe: a question of numbers.
        (50, True, 99, None, True),
    ],
)
def test_a_sitting_passes_by_the_papers_own_terms(
    pass_percent: int | None, marks: int | None, expected: bool | None, *, critical: bool, safe: bool | None
) -> None:
    paper = replace(PAPER, pass_percent=pass_percent, critical_errors_fail=critical)
    assert passed(paper, replace(LINE, marks=marks, safe_to_energise=safe)) is expected


def test_whoever_earns_just_what_is_asked_passes() -> None:
    # 60 of 100 are 60 %; 59 are not, and 599 of 1000 are not either.
    paper = replace(PAPER, pass_percent=60)
    for earned, available, passes in ((60, 100, True), (59, 100, False), (599, 1000, False), (3, 5, True)):
        assert passed(paper, replace(LINE, marks=earned, marks_available=available)) is passes
    assert passed(paper, replace(LINE, marks=0, marks_available=0)) is None


def test_time_taken_leaves_rest_breaks_out() -> None:
    from datetime import timedelta

    line = replace(LINE, handed_in_at=NOON + timedelta(minutes=30), paused_s=300)
    assert line.taken_s == 25 * 60
