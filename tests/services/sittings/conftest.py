"""A world on an empty database."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.services.sittings.world import World, furnish
from trainer.config import sqlite_url
from trainer.persistence.database import Database
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.schema import upgrade


@pytest.fixture
def storage(tmp_path: Path) -> Iterator[SqlStorage]:
    database = Database(sqlite_url(tmp_path / "trainer.sqlite3"))
    upgrade(database)
    yield SqlStorage(database)
    database.close()


@pytest.fixture
def world(storage: SqlStorage) -> World:
    furnish(storage)
    return World(storage)
