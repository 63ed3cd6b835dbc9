"""Migrations."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import inspect, text
from sqlalchemy.exc import IntegrityError

from trainer.persistence.database import Database, MigrationError
from trainer.persistence.schema import downgrade, newest_version, upgrade, version
from trainer.persistence.tables import Base


def test_the_models_are_what_the_migrations_make(database: Database) -> None:
    with database.migrating() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, Base.metadata) == []


def test_an_upgraded_database_has_the_newest_version(database: Database) -> None:
    assert version(database) == newest_version()


def test_upgrading_again_changes_nothing(database: Database) -> None:
    upgrade(database)
    assert version(database) == newest_version()


def test_a_database_that_is_up_to_date_is_not_gone_through_again(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The check of all references after a change takes half a minute where a million answers are stored."""
    monkeypatch.setattr(Database, "migrating", None)
    upgrade(database)


def test_all_migrations_can_be_taken_back_and_applied_again(database: Database) -> None:
    downgrade(database, "base")
    with database.reading() as session:
        assert inspect(session.connection()).get_table_names() == ["alembic_version"]
    upgrade(database)
    assert version(database) == newest_version()


def test_many_processes_that_start_at_once_upgrade_one_new_database_once(empty_address: str) -> None:
    databases = [Database(empty_address) for _ in range(8)]
    with ThreadPoolExecutor(8) as pool:
        list(pool.map(upgrade, databases))
    assert {version(database) for database in databases} == {newest_version()}
    for database in databases:
        database.close()


def test_a_database_of_a_newer_program_is_left_alone(database: Database) -> None:
    with database.writing() as session:
        session.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(MigrationError, match="made by a newer version"):
        upgrade(database)
    assert version(database) == "9999"


def test_a_change_that_would_leave_dangling_rows_is_undone(database: Database) -> None:
    # PostgreSQL refuses the row itself, SQLite the whole change at its end.
    with pytest.raises((MigrationError, IntegrityError), match="page"), database.migrating() as connection:
        connection.exec_driver_sql(
            "INSERT INTO page (id, content_hash, created_at) VALUES ('p', 'no-such-task', '2026-11-02 12:00:00')"
        )
    with database.reading() as session:
        assert session.connection().exec_driver_sql("SELECT count(*) FROM page").scalar_one() == 0
