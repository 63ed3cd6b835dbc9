"""``trainer db``."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from sqlalchemy import text

from tests import postgresql
from tests.persistence.keeping.conftest import fill, rows_of
from trainer.cli.main import main
from trainer.config import DATABASE_URL, sqlite_url
from trainer.persistence.database import Database
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.schema import newest_version


@pytest.fixture
def run(tmp_path: Path, database_address: str, monkeypatch: pytest.MonkeyPatch):
    """Runs a command of the group over the database of the test, or over another."""

    def run(*words: str, address: str = database_address) -> Result:
        monkeypatch.setenv(DATABASE_URL, address)
        return CliRunner().invoke(main, ["db", *words, "--data", str(tmp_path / "data")])

    return run


def test_a_backup_restored_elsewhere_holds_the_same_rows_and_is_checked(
    run, storage: SqlStorage, database: Database, empty_elsewhere: str, tmp_path: Path
) -> None:
    fill(storage)
    told = run("backup", str(tmp_path / "copy"))
    assert told.exit_code == 0, told.output
    told = run("restore", str(tmp_path / "copy"), address=empty_elsewhere)
    assert told.exit_code == 0, told.output
    assert "wrong" not in told.stdout
    other = Database(empty_elsewhere)
    assert rows_of(other) == rows_of(database)
    other.close()


@pytest.fixture
def empty_elsewhere(database_kind: str, request: pytest.FixtureRequest, tmp_path: Path):
    if database_kind == "sqlite":
        yield sqlite_url(tmp_path / "elsewhere.sqlite3")
        return
    server: postgresql.Server = request.getfixturevalue("postgresql_server")
    name = server.fresh()
    yield server.address_of(name)
    server.drop(name)


def test_an_upgrade_tells_the_version_and_again_that_nothing_is_to_do(run, empty_elsewhere: str) -> None:
    told = [run("upgrade", address=empty_elsewhere).stdout for _ in range(2)]
    assert told[0].startswith(f"Tables of version {newest_version()}, before: None")
    assert "nothing to do" in told[1]


def test_a_check_ends_with_1_and_names_what_is_wrong(run, storage: SqlStorage, database: Database) -> None:
    fill(storage)
    assert run("check").exit_code == 0
    with database.migrating() as connection:
        where = " ON audit_entry" if database.kind == "postgresql" else ""
        connection.execute(text(f"DROP TRIGGER audit_entry_is_never_changed{where}"))
        connection.execute(text("UPDATE audit_entry SET subject_id = 'other' WHERE number = 3"))
    told = run("check", "--format", "json")
    assert told.exit_code == 1
    (wrong,) = [each for each in json.loads(told.stdout)["checks"] if each["problems"]]
    assert wrong["check"] == "audit chain"
    assert wrong["problems"][0].startswith("entry 3 ")


@pytest.mark.only("sqlite")
def test_one_command_moves_everything_to_postgresql(
    run, storage: SqlStorage, database: Database, postgresql_server: postgresql.Server
) -> None:
    fill(storage)
    name = postgresql_server.fresh()
    address = postgresql_server.address_of(name)
    told = run("move", address)
    assert told.exit_code == 0, told.output
    assert told.stdout.count("the same there") == len(rows_of(database))
    other = Database(address)
    assert rows_of(other) == rows_of(database)
    other.close()
    again = run("move", address)
    assert again.exit_code == 2
    assert "is not empty" in again.stderr
    postgresql_server.drop(name)


def test_a_backup_over_a_file_that_is_there_is_refused_without_a_trace(run, tmp_path: Path) -> None:
    (tmp_path / "copy").write_text("mine")
    told = run("backup", str(tmp_path / "copy"))
    assert told.exit_code == 2
    assert "is there already" in told.stderr
    assert "Traceback" not in told.output
