"""Results on paper: of the learner alone, with what was practised and passed, and gone with the learner."""

from __future__ import annotations

import io
import re

import pypdf
import pytest
from flask import Flask
from sqlalchemy import select

from tests.web.people.conftest import Browser, app, box, browser_of, clock
from tests.web.programmes.conftest import firm, learner, manager, programme
from tests.web.programmes.test_taking import sit
from tests.web.taking import Run
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.tables.operation import AuditRow, JobFileRow, JobRow

__all__ = ["app", "box", "browser_of", "clock", "firm", "learner", "manager", "programme"]

pytestmark = pytest.mark.usefixtures("printer")


def words_of(browser: Browser) -> str:
    """The text of the file, extracted by pypdf, a general-purpose library."""
    answer = browser.get("/my-results/results.pdf")
    assert answer.content_type == "application/pdf"
    text = "".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(answer.data)).pages)
    return re.sub(r"\s+", " ", text)


def test_a_pass_of_a_refresher_stands_in_it_objective_by_objective_with_the_caution(
    programme: str, learner: Browser, storage: SqlStorage, run: Run
) -> None:
    sit(learner, storage)
    assert learner.post("/my-results", {}, page="/my-results").status_code == 303
    assert "0 of 1 made" in learner.get("/my-results").text
    run()
    said = words_of(learner)
    assert "Firm-Learner" in said
    assert "Residual current devices" in said
    assert "2 Nov 2026" in said
    assert "in force" in said
    assert "Caution" in said
    assert "Not a qualification" in said


def test_a_new_one_takes_the_place_of_the_last_and_asking_twice_makes_one(
    programme: str, learner: Browser, storage: SqlStorage, run: Run
) -> None:
    learner.post("/plan/take", {}, page="/progress")
    for _ in range(3):
        learner.post("/my-results", {}, page="/progress")
    run()
    learner.post("/my-results", {}, page="/my-results")
    run()
    with storage.database.reading() as session:
        assert len(session.scalars(select(JobRow.id).where(JobRow.kind == "file.results")).all()) == 1
        assert session.scalars(select(JobFileRow.name)).all() == ["results.pdf"]


def test_nobody_else_gets_it_and_the_log_does_not_say_whose_it_is(
    programme: str, learner: Browser, manager: Browser, storage: SqlStorage, run: Run
) -> None:
    learner.post("/plan/take", {}, page="/progress")
    learner.post("/my-results", {}, page="/my-results")
    run()
    assert manager.get("/my-results/results.pdf").status_code == 404
    assert "results.pdf" not in manager.get("/files").text
    with storage.database.reading() as session:
        entry = session.scalars(select(AuditRow).where(AuditRow.action == "results.pdf_done")).one()
    assert entry.organisation_id is None
    assert entry.subject_id.startswith("results.")


def test_without_an_account_it_names_nobody_and_goes_with_what_was_practised(
    app: Flask, storage: SqlStorage, run: Run
) -> None:
    visitor = Browser(app.test_client())
    assert "nothing to print" in visitor.get("/my-results").text
    assert visitor.get("/my-results/results.pdf").status_code == 404
    visitor.post("/plan/take", {}, page="/progress")
    visitor.post("/my-results", {}, page="/my-results")
    run()
    assert "practised without an account" in words_of(visitor)
    assert Browser(app.test_client()).get("/my-results/results.pdf").status_code == 404
    assert visitor.post("/plan/data", {"sure": "yes"}, page="/plan/data").status_code == 303
    with storage.database.reading() as session:
        assert session.scalars(select(JobFileRow.name)).all() == []
