"""A database in a file of its own for each test of a use case."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from trainer.config import sqlite_url
from trainer.persistence.database import Database
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.schema import upgrade


@pytest.fixture
def address(tmp_path: Path) -> str:
    return sqlite_url(tmp_path / "trainer.sqlite3")


@pytest.fixture
def database(address: str) -> Iterator[Database]:
    database = Database(address)
    upgrade(database)
    yield database
    database.close()


@pytest.fixture
def storage(database: Database) -> SqlStorage:
    return SqlStorage(database)
