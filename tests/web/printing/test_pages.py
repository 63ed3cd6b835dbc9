"""Asking for a print, watching it, cancelling it, taking the files; and who may not."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from datetime import timedelta

import pytest
from sqlalchemy import select

from tests.web.papers.conftest import made, moved
from tests.web.people.conftest import Browser, Clock
from trainer.persistence.jobs.repositories import job_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.operation import AuditRow, JobFileRow, JobRow
from trainer.services.jobs.running import FILES_KEPT
from trainer.web.printing import pdf, works
from trainer.web.printing.sheets import Pages

PDF = b"%PDF-1.7 variant "


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch, printer: None) -> None:
    """Printing takes seconds; what these tests are about is the way to it."""

    def pages(_organisation: str, _paper: str, variant: int) -> Pages:
        return Pages(paper=f"<p>paper {variant}", key=f"<p>key {variant}", style="")

    monkeypatch.setattr("trainer.web.printing.sheets.paper_pages", pages)
    monkeypatch.setattr(works, "pdf_of", lambda page, _style: pdf.pdf_of(page, "@page { size: A4 }"))


def asked(browser: Browser, paper: str, **fields: str):
    return browser.post(
        f"{paper}/print", {"first": "1", "count": "1", "files": "together", **fields}, page="/papers/new"
    )


def job_of(storage: SqlStorage) -> JobRow:
    with storage.database.reading() as session:
        return session.scalars(select(JobRow).order_by(JobRow.created_at.desc())).first()


def files_of(storage: SqlStorage) -> list[str]:
    with storage.database.reading() as session:
        return sorted(session.scalars(select(JobFileRow.name)))


def test_a_print_is_asked_for_made_by_the_runner_and_taken(
    lecturer: Browser, paper: str, run: Callable[[], None], storage: SqlStorage, quick: None
) -> None:
    assert asked(lecturer, paper).status_code == 303
    page = lecturer.get(f"{paper}/print").text
    assert "waits" in page
    assert "0 of 1 made" in page
    assert "College-Lecturer" in page or "college-lecturer" in page
    run()
    page = lecturer.get(f"{paper}/print").text
    assert "Kept until" in page
    assert files_of(storage) == ["variant-1-key.pdf", "variant-1-paper.pdf"]
    answer = lecturer.get(f"{paper}/print/{job_of(storage).id}/variant-1-paper.pdf")
    assert answer.content_type == "application/pdf"
    assert answer.data.startswith(b"%PDF-")
    assert answer.headers["Content-Disposition"] == 'attachment; filename="variant-1-paper.pdf"'
    with storage.database.reading() as session:
        actions = [each for each in session.scalars(select(AuditRow.action)) if each.startswith("paper.print")]
    assert actions == ["paper.print_asked", "paper.print_done", "paper.print_fetched"]


def test_several_come_in_one_pdf_with_the_pages_of_each_or_packed_one_by_one(
    lecturer: Browser, paper: str, run: Callable[[], None], storage: SqlStorage, quick: None
) -> None:
    asked(lecturer, paper, first="2", count="3")
    run()
    assert files_of(storage) == ["variants-2-to-4-keys.pdf", "variants-2-to-4-papers.pdf"]
    page = lecturer.get(f"{paper}/print").text
    assert "Which variant is on which pages" in page
    asked(lecturer, paper, first="2", count="3", files="apart")
    run()
    packed = [name for name in files_of(storage) if name.endswith(".zip")]
    assert packed == ["variants-2-to-4-keys.zip", "variants-2-to-4-papers.zip"]
    with storage.database.reading() as session:
        content = session.scalars(select(JobFileRow.content).where(JobFileRow.name == packed[1])).one()
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        assert archive.namelist() == [f"variant-00{number}-paper.pdf" for number in (2, 3, 4)]


def test_one_that_waits_is_cancelled_at_once_and_hands_out_nothing(
    lecturer: Browser, paper: str, run: Callable[[], None], storage: SqlStorage, quick: None
) -> None:
    asked(lecturer, paper)
    job = job_of(storage).id
    assert lecturer.post(f"{paper}/print/{job}/cancel", {}, page="/papers/new").status_code == 303
    run()
    assert "cancelled" in lecturer.get(f"{paper}/print").text
    assert files_of(storage) == []
    assert job_of(storage).state == "cancelled"


def test_a_draft_is_not_printed(lecturer: Browser, storage: SqlStorage) -> None:
    address = made(lecturer)
    answer = asked(lecturer, address)
    assert answer.status_code == 400
    assert "lock it first" in answer.text
    assert job_of(storage) is None


@pytest.mark.parametrize(
    ("first", "count"), [("0", "1"), ("1", "0"), ("1", "61"), ("ten", "1"), ("1", ""), ("1e3", "1")]
)
def test_numbers_that_make_no_sense_are_refused_with_what_would(
    lecturer: Browser, paper: str, storage: SqlStorage, first: str, count: str
) -> None:
    answer = asked(lecturer, paper, first=first, count=count)
    assert answer.status_code == 400
    assert "must be a whole number from 1 to" in answer.text
    assert job_of(storage) is None


def test_no_more_than_three_wait_for_one_paper(lecturer: Browser, paper: str) -> None:
    assert [asked(lecturer, paper).status_code for _ in range(4)] == [303, 303, 303, 400]


def test_a_page_that_cannot_be_printed_here_says_what_to_install(
    lecturer: Browser, paper: str, run: Callable[[], None], storage: SqlStorage, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked(lecturer, paper)
    monkeypatch.setattr(pdf, "missing", lambda: "cannot load library 'libpango-1.0-0'")
    page = lecturer.get(f"{paper}/print").text
    assert "cannot load library" in page
    assert "libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0 fonts-dejavu-core" in page
    run()
    job = job_of(storage)
    assert job.state == "failed"
    assert "install the extra print" in job.failure
    assert "install the extra print" in lecturer.get(f"{paper}/print").text


def test_a_paper_that_became_a_draft_again_fails_with_that_reason(
    lecturer: Browser, paper: str, run: Callable[[], None], storage: SqlStorage
) -> None:
    asked(lecturer, paper)
    assert moved(lecturer, paper, "draft", 3).status_code == 303
    run()
    assert "is a draft again" in job_of(storage).failure


def test_files_go_when_their_time_is_over_and_the_page_says_so(
    lecturer: Browser, paper: str, run: Callable[[], None], storage: SqlStorage, quick: None, clock: Clock
) -> None:
    asked(lecturer, paper)
    run()
    with storage.scopes(job_repositories).writing() as stored:
        stored.jobs.drop_old_files(("paper.print",), clock() + timedelta(seconds=1))
    assert FILES_KEPT.days == 7
    assert "The files were removed after 7 days" in lecturer.get(f"{paper}/print").text


def test_a_lecturer_who_does_not_teach_the_group_reaches_nothing(
    lecturer: Browser, paper: str, run: Callable[[], None], storage: SqlStorage, quick: None,
    browser_of: Callable[[str], Browser],
) -> None:  # fmt: skip
    asked(lecturer, paper)
    run()
    other, job = browser_of("other"), job_of(storage).id
    for path in (f"{paper}/print", f"{paper}/print/{job}/variant-1-key.pdf"):
        assert other.get(path).status_code in (400, 404), path
    learner = browser_of("learner-1")
    assert learner.get(f"{paper}/print/{job}/variant-1-key.pdf").status_code == 403


def test_a_job_of_another_paper_is_not_found_under_this_one(
    lecturer: Browser, paper: str, run: Callable[[], None], storage: SqlStorage, quick: None
) -> None:
    asked(lecturer, paper)
    run()
    job, other = job_of(storage).id, made(lecturer)
    assert lecturer.get(f"{other}/print/{job}/variant-1-key.pdf").status_code == 404
