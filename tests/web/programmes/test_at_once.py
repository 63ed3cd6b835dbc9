"""Many pages of one person at the same moment, and the daily command."""

from __future__ import annotations

import json
import re
from concurrent.futures import ThreadPoolExecutor

import pytest
from click.testing import CliRunner
from flask import Flask

from tests.web.people.conftest import Browser
from tests.web.programmes.test_taking import begin, records, sit
from trainer.cli.main import main
from trainer.config import Settings
from trainer.persistence.programmes.repositories import programme_repositories
from trainer.persistence.repositories import SqlStorage


def test_starts_from_many_pages_at_once_make_one_sitting(programme: str, app: Flask, learner: Browser) -> None:
    path = re.search(r'action="(/refreshers/[\w-]+)"', learner.get("/refreshers").text)[1]
    pages = []
    for _ in range(8):
        page = Browser(app.test_client())
        page.sign_in("firm-learner")
        pages.append(page)
    with ThreadPoolExecutor(8) as pool:
        found = set(pool.map(lambda page: page.post(path, page="/refreshers").headers["Location"], pages))
    assert len(found) == 1


def test_looks_from_many_pages_at_once_give_one_record(
    programme: str, app: Flask, learner: Browser, storage: SqlStorage
) -> None:
    sitting_id = sit(learner, storage)
    with storage.database.writing() as session:
        from sqlalchemy import delete, update

        from trainer.persistence.tables.programmes import AssignmentRow, RecordRow

        session.execute(delete(RecordRow))
        session.execute(update(AssignmentRow).values(last_passed_at=None))
    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(lambda _: learner.get(f"/refreshers/sittings/{sitting_id}").status_code, range(16)))
    assert set(answers) == {200}
    assert len(records(storage)) == 1


def test_a_pass_that_nobody_looked_at_still_counts_by_the_daily_command(
    programme: str, learner: Browser, storage: SqlStorage, settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    sit(learner, storage)
    with storage.database.writing() as session:
        from sqlalchemy import delete, update

        from trainer.persistence.tables.programmes import AssignmentRow, RecordRow

        session.execute(delete(RecordRow))
        session.execute(update(AssignmentRow).values(last_passed_at=None))
    monkeypatch.setenv("TRAINER_DATABASE_URL", settings.database_url)
    command = ["programmes", "remind", "--data", str(settings.data_folder), "--format", "json"]
    first = CliRunner().invoke(main, command)
    assert first.exit_code == 0, first.output
    assert json.loads(first.stdout)["records_given"] == 1
    assert json.loads(CliRunner().invoke(main, command).stdout)["records_given"] == 0
    with storage.scopes(programme_repositories).reading() as stored:
        (line,) = stored.records.of_member("firm", "firm-learner")
    assert line.marks == line.marks_available


def test_a_failed_sitting_is_looked_at_again_without_harm(
    programme: str, learner: Browser, storage: SqlStorage
) -> None:
    sit(learner, storage, right=False)
    for _ in range(3):
        learner.get("/refreshers")
    assert records(storage) == []
    assert begin(learner)
