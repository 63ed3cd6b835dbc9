"""The runner as the command starts it prints a real paper, from the same data folder as the program."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy import select

from tests.services.jobs.world import job
from tests.web.conftest import NOON
from tests.web.people.conftest import build
from tests.web.printing.test_text import pages_of
from trainer.config import sqlite_url
from trainer.domain.tasks import TaskKind
from trainer.persistence.database import Database
from trainer.persistence.jobs.repositories import job_repositories
from trainer.persistence.papers.repositories import paper_repositories
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.schema import upgrade
from trainer.persistence.tables.operation import JobFileRow, JobRow
from trainer.services.papers.blueprint import Blueprint, Slot, write_blueprint
from trainer.services.papers.records import Paper
from trainer.services.papers.words import PaperMode, PaperState, ReleasePolicy
from trainer.web.printing.asking import KIND, Wanted

pytestmark = pytest.mark.usefixtures("printer")

SLOTS = (Slot(kind=TaskKind.QUESTION, level=2, count=2, marks=3),)


def locked_paper() -> Paper:
    return Paper(
        id="paper",
        organisation_id="college",
        title="Two questions",
        state=PaperState.LOCKED,
        revision=1,
        blueprint_json=write_blueprint(Blueprint(slots=SLOTS)),
        mode=PaperMode.GRADED,
        opens_at=None,
        closes_at=None,
        time_limit_s=None,
        attempts_allowed=1,
        access_code=None,
        pass_percent=None,
        critical_errors_fail=False,
        release_policy=ReleasePolicy.BY_HAND,
        release_at=None,
        variant_key="a key that is used in tests only",
        edition="A4:2026",
        generator_version="1",
        rule_set_version="1",
        made_by=None,
        created_at=NOON,
        changed_at=NOON,
    )


def test_the_command_prints_two_variants_into_one_file_with_the_pages_of_each(tmp_path: Path) -> None:
    database = Database(sqlite_url(tmp_path / "trainer.sqlite3"))
    upgrade(database)
    storage = SqlStorage(database)
    build(storage, "college")
    wanted = Wanted(paper_id="paper", variants=(1, 2), together=True)
    with storage.scopes(paper_repositories).writing() as stored:
        stored.papers.add(locked_paper())
    with storage.scopes(job_repositories).writing() as stored:
        stored.jobs.add(replace(job(parts=2, kind=KIND), organisation_id="college", payload=wanted.payload))
    command = [sys.executable, "-m", "trainer", "jobs", "run", "--once", "--data", str(tmp_path)]
    ended = subprocess.run(command, capture_output=True, text=True, timeout=300, check=False)
    assert (ended.returncode, ended.stdout, ended.stderr) == (0, "", "")
    with storage.database.reading() as session:
        row = session.scalars(select(JobRow)).one()
        files = {each.name: each.content for each in session.scalars(select(JobFileRow))}
    assert (row.state, row.failure) == ("done", "")
    assert sorted(files) == ["variants-1-to-2-keys.pdf", "variants-1-to-2-papers.pdf"]
    ranges = json.loads(row.result_json)["pages"]["paper"]
    pages = pages_of(files["variants-1-to-2-papers.pdf"])
    for variant, (first, last) in ranges.items():
        assert all(f"Variant {variant}" in page for page in pages[first - 1 : last])
        assert f"Page 1 of {last - first + 1}" in pages[first - 1]
    assert ranges["2"][1] == len(pages)
    database.close()
