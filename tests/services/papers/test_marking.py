"""What staff do to marks after a sitting, and what learners may say of them: by hand from docs/papers.md.

The paper has a task of ten marks and one of two; Ann earned 4 and 2, Ben 10 and 0.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.services.papers.shelf import ANN, BEN, LATER, LECTURER, Shelf, desk
from trainer.services.papers.errors import MarkError, PaperError, PaperStateError
from trainer.services.papers.marking import LONGEST_NOTE
from trainer.services.papers.records import Appeal
from trainer.services.papers.words import AppealState, PaperState

WHY = "half of it was right"
BEFORE_RELEASE = (PaperState.CLOSED, PaperState.MODERATED)
WHILE_SAT = (PaperState.DRAFT, PaperState.LOCKED, PaperState.OPEN)


def noted(shelf: Shelf, state: AppealState, sitting_id: str = "a", position: int | None = 1) -> Appeal:
    note = Appeal(
        id=f"note-{len(shelf.notes)}", organisation_id="college", sitting_id=sitting_id, position=position,
        note="I named the device", state=state, raised_at=LATER, answer="",
    )  # fmt: skip
    shelf.notes.append(note)
    return note


@pytest.mark.parametrize("marks", [0, 3, 5, 10])
def test_a_mark_can_be_any_number_from_nothing_to_all_but_the_one_it_is(marks: int) -> None:
    shelf = Shelf()
    change = desk(shelf).change_mark(LECTURER, "a", 1, marks, WHY)
    assert (change.marks_before, change.marks_after, change.reason) == (4, marks, WHY)
    # With the two marks of the other task; Ben's are not touched.
    assert shelf.counted == {"a": (marks + 2, 12)}


@pytest.mark.parametrize("marks", [-1, 11, 4])
def test_a_mark_beyond_its_task_or_as_it_stands_is_refused(marks: int) -> None:
    shelf = Shelf()
    with pytest.raises(MarkError):
        desk(shelf).change_mark(LECTURER, "a", 1, marks, WHY)
    assert (shelf.changes, shelf.counted, shelf.events) == ([], {}, [])


def test_after_a_change_the_new_mark_is_the_one_that_stands() -> None:
    shelf = Shelf()
    desk(shelf).change_mark(LECTURER, "a", 1, 7, WHY)
    with pytest.raises(MarkError, match="count already"):
        desk(shelf).change_mark(LECTURER, "a", 1, 7, WHY)
    assert desk(shelf).change_mark(LECTURER, "a", 1, 4, WHY).marks_before == 7


@pytest.mark.parametrize("position", [0, 3])
def test_a_task_that_nobody_has_marks_for_can_be_neither_changed_nor_voided(position: int) -> None:
    with pytest.raises(MarkError, match="no marks for such a task"):
        desk(Shelf()).change_mark(LECTURER, "a", position, 1, WHY)
    with pytest.raises(MarkError, match="nobody has marks"):
        desk(Shelf()).void_item(LECTURER, "paper", position, WHY)


def test_a_voided_task_counts_for_nobody_and_its_marks_cannot_be_changed() -> None:
    shelf = Shelf()
    change = desk(shelf).void_item(LECTURER, "paper", 1, WHY)
    assert (change.sitting_id, change.position, change.slot, change.marks_after) == (None, 1, 1, None)
    assert shelf.counted == {"a": (2, 2), "b": (0, 2)}
    assert shelf.events[0].facts == {"position": 1, "sittings": 2}
    for name in ("a", "b"):
        with pytest.raises(MarkError, match="counts for nobody"):
            desk(shelf).change_mark(LECTURER, name, 1, 1, WHY)
    with pytest.raises(MarkError, match="voided already"):
        desk(shelf).void_item(LECTURER, "paper", 1, WHY)
    # The other task is not voided with it.
    assert desk(shelf).change_mark(LECTURER, "b", 2, 1, WHY).marks_before == 0


def test_a_task_that_only_one_has_marks_for_can_be_voided() -> None:
    shelf = Shelf(earned={("a", 1): (4, 10)})
    assert desk(shelf).void_item(LECTURER, "paper", 1, WHY).slot == 1
    assert shelf.counted == {"a": (0, 0)}


@pytest.mark.parametrize("state", PaperState)
def test_one_sitting_is_read_with_its_tasks_and_reasons_once_nobody_sits_the_paper(state: PaperState) -> None:
    shelf = Shelf(state=state)
    note = noted(shelf, AppealState.OPEN)
    noted(shelf, AppealState.OPEN, "b")
    if state in WHILE_SAT:
        with pytest.raises(PaperStateError, match="while a paper is sat"):
            desk(shelf).sitting(LECTURER, "a")
        return
    found = desk(shelf).sitting(LECTURER, "a")
    assert (found.line.id, found.line.display_name) == ("a", "Ann" if state is PaperState.RELEASED else "")
    assert [(each.graded.sitting_id, each.marks) for each in found.items] == [("a", 4), ("a", 2)]
    assert (found.tasks, found.grades) == ({1: "what was asked", 2: "what was asked"}, {1: b"why a 1"})
    assert found.appeals == (note,)


def test_a_change_is_taken_back_once() -> None:
    shelf = Shelf()
    change = desk(shelf).change_mark(LECTURER, "a", 1, 7, WHY)
    desk(shelf).withdraw(LECTURER, "paper", change.id)
    assert shelf.counted == {"a": (6, 12)}
    for name in (change.id, "unknown"):
        with pytest.raises(MarkError, match="load the page again"):
            desk(shelf).withdraw(LECTURER, "paper", name)
    assert [each.action for each in shelf.events] == ["paper.mark_changed", "paper.change_withdrawn"]


def test_a_voiding_that_is_taken_back_gives_everybody_their_marks_again() -> None:
    shelf = Shelf()
    desk(shelf).withdraw(LECTURER, "paper", desk(shelf).void_item(LECTURER, "paper", 1, WHY).id)
    assert shelf.counted == {"a": (6, 12), "b": (10, 12)}


@pytest.mark.parametrize("state", PaperState)
def test_marks_are_changed_between_the_closing_and_the_release(state: PaperState) -> None:
    # Each in a paper of its own: a change to withdraw, one to make, a task to void.
    for work in (
        lambda use, _old: use.change_mark(LECTURER, "a", 1, 5, WHY),
        lambda use, _old: use.void_item(LECTURER, "paper", 1, WHY),
        lambda use, old: use.withdraw(LECTURER, "paper", old),
    ):
        shelf = Shelf()
        old = desk(shelf).change_mark(LECTURER, "b", 1, 9, WHY).id
        shelf.state = state
        if state in BEFORE_RELEASE:
            work(desk(shelf), old)
            continue
        with pytest.raises(PaperStateError, match="between the closing and the release"):
            work(desk(shelf), old)


def test_after_the_release_a_mark_changes_only_on_a_note_that_was_upheld() -> None:
    for state, allowed in ((AppealState.OPEN, False), (AppealState.DISMISSED, False), (AppealState.UPHELD, True)):
        shelf = Shelf(state=PaperState.RELEASED)
        noted(shelf, state)
        if allowed:
            assert desk(shelf).change_mark(LECTURER, "a", 1, 10, WHY).marks_after == 10
            continue
        with pytest.raises(PaperStateError):
            desk(shelf).change_mark(LECTURER, "a", 1, 10, WHY)


def test_a_note_of_one_learner_opens_no_marks_of_another_and_none_while_the_paper_is_sat() -> None:
    shelf = Shelf(state=PaperState.RELEASED)
    noted(shelf, AppealState.UPHELD, "b")
    with pytest.raises(PaperStateError):
        desk(shelf).change_mark(LECTURER, "a", 1, 10, WHY)
    reopened = Shelf(state=PaperState.OPEN)
    noted(reopened, AppealState.UPHELD)
    with pytest.raises(PaperStateError):
        desk(reopened).change_mark(LECTURER, "a", 1, 10, WHY)


@pytest.mark.parametrize("reason", ["", "four", " a  b ", "x" * 501])
def test_what_is_done_to_marks_has_a_reason_of_five_to_five_hundred_characters(reason: str) -> None:
    with pytest.raises(PaperError, match="5 to 500"):
        desk(Shelf()).change_mark(LECTURER, "a", 1, 5, reason)
    with pytest.raises(PaperError, match="5 to 500"):
        desk(Shelf()).void_item(LECTURER, "paper", 1, reason)
    desk(Shelf()).change_mark(LECTURER, "a", 1, 5, "fives")
    desk(Shelf()).change_mark(LECTURER, "a", 1, 5, "x" * 500)


def test_whoever_teaches_none_of_its_groups_finds_no_such_paper() -> None:
    stranger = replace(LECTURER, member_id="other")
    shelf = Shelf()
    noted(shelf, AppealState.OPEN)
    for work in (
        lambda: desk(shelf).sheet(stranger, "paper"),
        lambda: desk(shelf).change_mark(stranger, "a", 1, 5, WHY),
        lambda: desk(shelf).void_item(stranger, "paper", 1, WHY),
        lambda: desk(shelf).answer_appeal(stranger, "note-0", upheld=True, answer=WHY),
        lambda: desk(shelf).change_mark(LECTURER, "unknown", 1, 5, WHY),
    ):
        with pytest.raises(PaperError, match="is not one of yours"):
            work()
    assert (shelf.changes, shelf.counted) == ([], {})


@pytest.mark.parametrize("state", PaperState)
def test_a_sheet_holds_who_handed_in_and_their_names_once_marks_are_released(state: PaperState) -> None:
    if state in WHILE_SAT:
        with pytest.raises(PaperStateError, match="while a paper is sat"):
            desk(Shelf(state=state)).sheet(LECTURER, "paper")
        return
    sheet = desk(Shelf(state=state)).sheet(LECTURER, "paper")
    released = state is PaperState.RELEASED
    assert [each.id for each in sheet.lines] == ["a", "b"]
    assert [each.display_name for each in sheet.lines] == (["Ann", "Ben"] if released else ["", ""])
    assert sheet.is_anonymous == (not released)
    assert {name: [each.marks for each in items] for name, items in sheet.items.items()} == {"a": [4, 2], "b": [10, 0]}


def test_a_learner_writes_on_an_own_sitting_once_marks_are_released() -> None:
    shelf = Shelf(state=PaperState.RELEASED)
    note = desk(shelf).raise_appeal(ANN, "a", 1, "  I named\n the device ")
    assert (note.note, note.position, note.state) == ("I named the device", 1, AppealState.OPEN)
    assert shelf.events[0].facts == {"sitting": "a"}
    for other, sitting_id in ((BEN, "a"), (ANN, "b")):
        with pytest.raises(PaperError, match="not one of yours"):
            desk(shelf).raise_appeal(other, sitting_id, 1, "I named the device")
    # An id that came with a request is the same name in another object.
    again = replace(ANN, member_id="".join(list("ann")))
    assert desk(shelf).raise_appeal(again, "a", 2, "I named the device").position == 2
    with pytest.raises(PaperError, match="not one of yours"):
        desk(shelf).raise_appeal(ANN, "unknown", 1, "I named the device")
    for state in (*WHILE_SAT, *BEFORE_RELEASE):
        with pytest.raises(PaperError, match="whose marks are released"):
            desk(Shelf(state=state)).raise_appeal(ANN, "a", 1, "I named the device")


def test_a_note_is_of_one_to_a_thousand_characters() -> None:
    assert LONGEST_NOTE == 1000
    for text in ("x", "x" * 1000):
        assert desk(Shelf(state=PaperState.RELEASED)).raise_appeal(ANN, "a", 1, text).note == text
    for text in ("", " \n ", "x" * 1001):
        with pytest.raises(MarkError, match="at most 1000"):
            desk(Shelf(state=PaperState.RELEASED)).raise_appeal(ANN, "a", 1, text)


def test_on_one_task_one_note_waits_for_its_answer() -> None:
    shelf = Shelf(state=PaperState.RELEASED)
    noted(shelf, AppealState.OPEN, position=1)
    noted(shelf, AppealState.DISMISSED, position=2)
    noted(shelf, AppealState.UPHELD, position=3)
    noted(shelf, AppealState.OPEN, "b", position=None)
    with pytest.raises(MarkError, match="wait for the answer"):
        desk(shelf).raise_appeal(ANN, "a", 1, "once more")
    # Answered, of the whole sitting, of another's: all these are no reason to wait.
    assert desk(shelf).raise_appeal(ANN, "a", 2, "once more").position == 2
    assert desk(shelf).raise_appeal(ANN, "a", 3, "once more").position == 3
    assert desk(shelf).raise_appeal(ANN, "a", None, "all of it").position is None


@pytest.mark.parametrize(("upheld", "state"), [(True, AppealState.UPHELD), (False, AppealState.DISMISSED)])
def test_a_note_is_answered_once(upheld: bool, state: AppealState) -> None:
    shelf = Shelf(state=PaperState.RELEASED)
    noted(shelf, AppealState.OPEN)
    answered = desk(shelf).answer_appeal(LECTURER, "note-0", upheld=upheld, answer="looked at again")
    assert (answered.state, answered.answer, answered.answered_by) == (state, "looked at again", "lecturer")
    assert answered.answered_at == LATER
    assert shelf.events[0].action == f"paper.appeal_{state.value}"
    with pytest.raises(MarkError, match="answered already"):
        desk(shelf).answer_appeal(LECTURER, "note-0", upheld=upheld, answer="looked at again")
    with pytest.raises(PaperError, match="is not there"):
        desk(shelf).answer_appeal(LECTURER, "unknown", upheld=upheld, answer="looked at again")
