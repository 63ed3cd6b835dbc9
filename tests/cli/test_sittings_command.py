"""``trainer sittings close``."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner

from tests.services.sittings.world import PAPER, Clock, World, furnish, here
from trainer.cli.main import main
from trainer.config import sqlite_url
from trainer.persistence.database import Database
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.schema import upgrade
from trainer.persistence.tables.sittings import SittingRow
from trainer.services.sittings.starting import Starting


@pytest.fixture
def started_two_hours_ago(tmp_path: Path) -> Path:
    database = Database(sqlite_url(tmp_path / "trainer.sqlite3"))
    upgrade(database)
    storage = SqlStorage(database)
    furnish(storage)
    world = World(storage, clock=Clock(now=datetime.now(UTC) - timedelta(hours=2)))
    world.desk(Starting).start(here(), PAPER, 1, "")
    database.close()
    return tmp_path


def test_a_sitting_whose_time_is_up_is_handed_in_and_marked_once(started_two_hours_ago: Path) -> None:
    told = [
        CliRunner().invoke(main, ["sittings", "close", "--data", str(started_two_hours_ago), "--format", "json"])
        for _ in range(2)
    ]
    assert [json.loads(each.stdout)["closed"] for each in told] == [1, 0]
    database = Database(sqlite_url(started_two_hours_ago / "trainer.sqlite3"))
    (row,) = World(SqlStorage(database)).rows(SittingRow)
    database.close()
    assert (row.state, row.handed_in_by, row.grading_number, row.marks) == ("handed_in", "time", 1, 0)
