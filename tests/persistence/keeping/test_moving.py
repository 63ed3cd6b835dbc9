"""The move to another kind of database, compared row by row."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import text

from tests import postgresql
from tests.persistence.keeping.conftest import figures_of, filled_tables, rows_of
from trainer.config import sqlite_url
from trainer.persistence.database import Database
from trainer.persistence.keeping import moving
from trainer.persistence.keeping.checking import checked
from trainer.persistence.keeping.emptiness import NotEmptyError, tables_of
from trainer.persistence.keeping.moving import MoveError, move
from trainer.persistence.schema import downgrade


@pytest.fixture
def other(database_kind: str, postgresql_server: postgresql.Server, tmp_path: Path) -> Iterator[Database]:
    """An empty database of the other kind."""
    name = None
    if database_kind == "sqlite":
        name = postgresql_server.fresh()
        database = Database(postgresql_server.address_of(name))
    else:
        database = Database(sqlite_url(tmp_path / "other.sqlite3"))
    yield database
    database.close()
    if name is not None:
        postgresql_server.drop(name)


def test_every_row_is_the_same_in_the_other_kind_of_database(filled: Database, other: Database) -> None:
    before = rows_of(filled)
    moved = move(filled, other)
    assert filled_tables(other) >= 20
    assert rows_of(other) == before == rows_of(filled)
    assert {each.table: each.rows for each in moved} == {name: len(rows) for name, rows in before.items()}
    assert [each.problems for each in checked(other)] == [()] * 6


def test_a_database_that_is_not_empty_is_never_moved_into(filled: Database, other: Database) -> None:
    move(filled, other)
    with pytest.raises(NotEmptyError, match="is not empty"):
        move(filled, other)


def test_a_difference_undoes_the_move(filled: Database, other: Database, monkeypatch: pytest.MonkeyPatch) -> None:
    fill = moving._fill

    def fill_and_change(old, new, table, progress) -> moving.Hashed:
        read = fill(old, new, table, progress)
        if table.name == "attempt":
            new.execute(text("UPDATE attempt SET marks = 3"))
        return read

    monkeypatch.setattr(moving, "_fill", fill_and_change)
    with pytest.raises(MoveError, match="attempt: is not the same there"):
        move(filled, other)
    assert filled_tables(other) == 0


@pytest.mark.only("sqlite")
def test_a_text_that_the_other_database_cannot_keep_is_told_with_its_table(filled: Database, other: Database) -> None:
    """postgresql.org, Character Types: the character with code zero cannot be stored."""
    noon = "'2026-11-02 12:00:00'"
    with filled.writing() as session:
        session.execute(text(f"INSERT INTO learner VALUES ('nil' || char(0), {noon}, {noon})"))
    with pytest.raises(MoveError, match="learner"):
        move(filled, other)
    assert filled_tables(other) == 0


def test_tables_of_an_older_version_are_not_moved(database: Database, other: Database) -> None:
    downgrade(database, "0005")
    with pytest.raises(MoveError, match="trainer db upgrade"):
        move(database, other)
    assert tables_of(other) == 0


def test_packed_contents_are_moved_as_they_are_stored(
    filled: Database, other: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    """To unpack and pack each of a million again would take longer than all the rest."""
    with filled.reading() as session:
        before = session.execute(text("SELECT grade_json FROM attempt")).scalars().all()

    def refused(*_: object) -> bytes:
        raise AssertionError("packed again")

    monkeypatch.setattr("trainer.persistence.types.packed", refused)
    move(filled, other)
    with other.reading() as session:
        assert session.execute(text("SELECT grade_json FROM attempt")).scalars().all() == before


def test_the_other_database_knows_how_much_lies_in_its_tables(filled: Database, other: Database) -> None:
    """sqlite.org, ANALYZE; postgresql.org, ANALYZE: without it the ways through the tables are guessed."""
    move(filled, other)
    assert figures_of(other)["page"] == len(rows_of(filled)["page"])
