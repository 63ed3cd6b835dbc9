"""After the sitting: files of marks, safe against formulas, and judging again after a correction of the rules."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import pytest

from tests.web.papers.after import id_of, lines
from tests.web.papers.conftest import moved
from tests.web.people.conftest import Browser
from tests.web.taking import Run, taken
from trainer.persistence.papers.repositories import paper_repositories
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage


def marks(browser: Browser, paper: str, run: Run, form: str) -> bytes:
    return taken(browser, f"{paper}/export/marks.{form}", "/papers/new", run)


@pytest.mark.parametrize("at_once", [300, 1], ids=["at once", "by the runner"])
def test_the_files_hold_the_marks_and_no_names_before_the_release(
    lecturer: Browser, storage: SqlStorage, closed: str, run: Run, at_once: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    from openpyxl import load_workbook

    monkeypatch.setattr("trainer.web.papers.exports.SMALL", at_once)
    text = marks(lecturer, closed, run, "csv").decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(text)))
    by_number = {each.candidate_number: each.marks for each in lines(storage, closed).values()}
    assert {row["candidate"]: int(row["marks"]) for row in rows} == by_number
    assert "Learner" not in text
    book = load_workbook(io.BytesIO(marks(lecturer, closed, run, "xlsx")))
    assert book.sheetnames == ["marks", "objectives", "items"]
    assert "Learner" not in str([[cell.value for cell in row] for sheet in book for row in sheet])


@pytest.mark.parametrize("at_once", [300, 1], ids=["at once", "by the runner"])
def test_names_that_look_like_formulas_are_harmless_in_every_file(
    lecturer: Browser, storage: SqlStorage, closed: str, run: Run, at_once: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    from openpyxl import load_workbook

    from trainer.web.papers.exports import harmless

    monkeypatch.setattr("trainer.web.papers.exports.SMALL", at_once)
    evil = '=HYPERLINK("http://example.org","marks")'
    with storage.scopes(people_repositories).writing() as stored:
        found = stored.members.get("college", "learner-1")
        stored.members.change(replace(found, display_name=evil))
    moved(lecturer, closed, "moderated", 5)
    moved(lecturer, closed, "released", 6)
    text = marks(lecturer, closed, run, "csv").decode("utf-8-sig")
    names = [row["name"] for row in csv.DictReader(io.StringIO(text))]
    assert "'" + evil in names
    book = load_workbook(io.BytesIO(marks(lecturer, closed, run, "xlsx")))
    assert {cell.data_type for sheet in book for row in sheet for cell in row} <= {"s", "n"}
    for start in ("=", "+", "-", "@", "\t=", "\r", "\n=", "  =", "\x00=", "|", "%"):
        assert not str(harmless(start + "1")).lstrip("\x00").startswith(tuple("=+-@\t\r\n |%"))
    assert harmless(-3) == -3


def test_an_unchanged_rule_set_leaves_nothing_to_judge_again(lecturer: Browser, closed: str) -> None:
    assert "nothing to judge again" in lecturer.get(f"{closed}/again").text


def test_judging_again_shows_whom_it_changes_and_keeps_both_results(
    lecturer: Browser, storage: SqlStorage, closed: str
) -> None:
    """A grading made under other rules is imitated by the marks that those would have given."""
    from sqlalchemy import select, update

    from trainer.persistence.tables.sittings import GradingRow, ItemGradingRow, SittingRow

    sitting = lines(storage, closed)["learner-1"].id
    with storage.database.writing() as session:
        grading = session.scalars(select(GradingRow).where(GradingRow.sitting_id == sitting)).one()
        session.execute(
            update(GradingRow).where(GradingRow.sitting_id == sitting).values(rule_set_version="0", marks=4)
        )
        first = (ItemGradingRow.grading_id == grading.id) & (ItemGradingRow.position == 1)
        session.execute(update(ItemGradingRow).where(first).values(marks=0))
        session.execute(update(SittingRow).where(SittingRow.id == sitting).values(marks=4))
    assert "1 sitting was judged by other rules" in lecturer.get(f"{closed}/again").text
    lecturer.post(f"{closed}/again", {"reason": "a rule was corrected"}, page="/papers/new")
    page = lecturer.get(f"{closed}/again").text
    assert "1 judged, 1 changed" in page
    assert "Task 1: 10 instead of 0" in page
    assert lines(storage, closed)["learner-1"].marks == 4
    with storage.scopes(paper_repositories).reading() as stored:
        report = stored.moderations.regradings("college", id_of(closed))[0]
    assert lecturer.post(f"{closed}/again/{report.id}", page="/papers/new").status_code == 303
    assert lines(storage, closed)["learner-1"].marks == 14
    with storage.database.reading() as session:
        kept = session.scalars(select(GradingRow.marks).where(GradingRow.sitting_id == sitting)).all()
    assert sorted(kept) == [4, 14]
    assert lecturer.post(f"{closed}/again/{report.id}", page="/papers/new").status_code == 400
