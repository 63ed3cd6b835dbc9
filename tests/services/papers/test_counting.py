"""Marks that count, and passing: by hand from the rules in docs/papers.md."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.persistence.papers.test_papers import PAPER
from tests.web.conftest import NOON
from trainer.services.papers.counting import counted, passed, percent, total
from trainer.services.papers.marking import Sheet
from trainer.services.papers.records import ItemMark, Moderation, SittingLine
from trainer.services.papers.tables import marks_table
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


def test_of_several_changes_the_last_counts() -> None:
    assert marks(CHANGE, replace(CHANGE, id="three", marks_after=5)) == [(5, 10), (10, 10), (0, 10)]


def test_a_change_that_was_taken_back_counts_no_more() -> None:
    assert marks(replace(CHANGE, withdrawn_at=NOON)) == marks()


def test_a_voided_item_counts_for_nobody_whatever_was_changed_in_it() -> None:
    assert marks(CHANGE, VOID) == [(0, 0), (10, 10), (0, 0)]
    assert total(counted(ITEMS, [VOID])) == (10, 10)


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
    ],
)
def test_a_sitting_passes_by_the_papers_own_terms(
    pass_percent: int | None, marks: int | None, expected: bool | None, *, critical: bool, safe: bool
) -> None:
    paper = replace(PAPER, pass_percent=pass_percent, critical_errors_fail=critical)
    assert passed(paper, replace(LINE, marks=marks, safe_to_energise=safe)) is expected


def test_time_taken_leaves_rest_breaks_out() -> None:
    from datetime import timedelta

    line = replace(LINE, handed_in_at=NOON + timedelta(minutes=30), paused_s=300)
    assert line.taken_s == 25 * 60


@pytest.mark.parametrize(("safe", "told"), [(True, "no"), (False, "yes"), (None, None)])
def test_the_table_of_marks_says_whether_a_danger_would_remain(safe: bool | None, told: str | None) -> None:
    line = replace(LINE, safe_to_energise=safe)
    sheet = Sheet(paper=PAPER, lines=(line,), items={}, moderations=(), appeals=())
    table = marks_table(sheet)
    assert dict(zip(table.header, table.rows[0], strict=True))["a danger would remain"] == told
