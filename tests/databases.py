"""Databases for tests: SQLite in a file or PostgreSQL on a server of the tests' own, each made once and copied.

``TRAINER_TEST_DATABASE=postgresql`` puts every test that asks for a database on PostgreSQL; without it
SQLite is used, and the tests in ``ON_BOTH`` run on both.
"""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from trainer.config import sqlite_url
from trainer.persistence.database import Database
from trainer.persistence.schema import upgrade

SWITCH = "TRAINER_TEST_DATABASE"
SQLITE, POSTGRESQL = "sqlite", "postgresql"
KINDS = (SQLITE, POSTGRESQL)
# Folders and files below tests/ that always run on both: where the two databases can differ.
ON_BOTH = (
    "cli/test_crowd.py",
    "cli/test_db.py",
    "persistence/",
    "services/sittings/",
    "web/papers/test_whole_way.py",
    "web/people/test_entry.py",
    "web/people/test_signing_in.py",
    "web/programmes/",
    "web/sittings/test_sitting_pages.py",
)


def kinds_for(path: Path) -> tuple[str, ...]:
    """The kinds of database that the tests in a file run on."""
    named = os.environ.get(SWITCH)
    if named:
        if named not in KINDS:
            raise pytest.UsageError(f"{SWITCH} is {named!r}; it must be one of {', '.join(KINDS)}")
        return (named,)
    inside = path.relative_to(Path(__file__).parent).as_posix()
    return KINDS if inside.startswith(ON_BOTH) else (SQLITE,)


def made(address: str) -> str:
    """The address, its tables brought up to date."""
    database = Database(address)
    upgrade(database)
    database.close()
    return address


def sqlite_template(folder: Path) -> Path:
    """A file with all tables and no rows, to be copied."""
    file = folder / "template.sqlite3"
    made(sqlite_url(file))
    # The last connection that closes takes the log into the file; a copy of the file is then whole.
    assert not file.with_name("template.sqlite3-wal").exists()
    return file


def sqlite_copy(template: Path, place: Path) -> str:
    """The address of a copy in a place."""
    shutil.copyfile(template, place)
    return sqlite_url(place)
