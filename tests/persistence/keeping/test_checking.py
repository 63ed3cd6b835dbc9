"""Checks find what was damaged on purpose."""

from __future__ import annotations

import sqlite3
import zlib
from contextlib import closing

import pytest
from sqlalchemy import text

from tests.persistence.records import NOON, TASK
from trainer.domain.tasks import TaskKind
from trainer.persistence.database import Database
from trainer.persistence.keeping.checking import checked
from trainer.persistence.keeping.emptiness import file_of
from trainer.persistence.repositories import SqlStorage
from trainer.persistence.schema import downgrade
from trainer.services.practice.tasks import Practice
from trainer.services.scenarios import make_judged
from trainer.web.practice.writing import StoredForm


def problems(database: Database) -> dict[str, tuple[str, ...]]:
    return {each.check: each.problems for each in checked(database) if each.problems}


def damaged(database: Database, *statements: str) -> None:
    """Does what the guards of the database would refuse."""
    with database.migrating() as connection:
        if database.kind == "postgresql":
            connection.exec_driver_sql("SET session_replication_role = replica")
        for statement in statements:
            connection.execute(text(statement))


def test_a_whole_database_has_nothing_wrong(filled: Database) -> None:
    assert problems(filled) == {}


@pytest.mark.parametrize("kind", [TaskKind.CHOOSE, TaskKind.QUESTION])
def test_a_real_task_is_what_its_hash_tells_although_its_key_is_not_in_it(filled: Database, kind: TaskKind) -> None:
    """What names a task is the hash of what is shown; ``tests/interop`` compares that with the published format."""
    practice = Practice(
        storage=SqlStorage(filled), make=make_judged, form=StoredForm(), catalogue=(), now=lambda: NOON,
        new_id=lambda: "page-of-a-real-task", new_seed=lambda: 7671,
    )  # fmt: skip
    practice.begin(1, None, kind=kind)
    assert problems(filled) == {}


def test_a_task_whose_shown_text_was_changed_is_found(filled: Database) -> None:
    changed = zlib.compress(TASK.content.replace(b"invented", b"existing"))
    with filled.writing() as session:
        session.execute(text("UPDATE task SET content = :changed"), {"changed": changed})
    (told,) = problems(filled)["hashes of tasks"]
    assert TASK.content_hash in told


def test_a_task_that_is_not_what_its_hash_tells_is_found(filled: Database) -> None:
    columns = "content, seed, generator_version, rule_set_version, edition, kind, level, archetype, created_at"
    other = "0" * 64
    with filled.writing() as session:
        copied = f"INSERT INTO task (content_hash, {columns}) SELECT :other, {columns} FROM task"
        session.execute(text(f"{copied} WHERE content_hash = :old"), {"other": other, "old": TASK.content_hash})
    (told,) = problems(filled)["hashes of tasks"]
    assert other in told


def test_a_broken_audit_chain_is_found_with_its_place(filled: Database) -> None:
    where = " ON audit_entry" if filled.kind == "postgresql" else ""
    damaged(
        filled,
        f"DROP TRIGGER audit_entry_is_never_changed{where}",
        "UPDATE audit_entry SET subject_id = 'other' WHERE number = 3",
    )
    (told,) = problems(filled)["audit chain"]
    assert told.startswith("entry 3 ")


def test_bytes_that_cannot_be_unpacked_are_found(filled: Database) -> None:
    rubbish = "'\\x0102'::bytea" if filled.kind == "postgresql" else "x'0102'"
    damaged(filled, f"UPDATE attempt SET grade_json = {rubbish}")
    (told,) = problems(filled)["packed contents"]
    assert "cannot be unpacked" in told


def test_a_row_that_refers_to_nothing_is_found_with_both_tables(filled: Database) -> None:
    statement = "UPDATE page SET learner_id = 'nobody'"
    if filled.kind == "sqlite":
        # Without foreign_keys=ON SQLite refuses nothing (sqlite.org/foreignkeys.html).
        with closing(sqlite3.connect(file_of(filled))) as connection:
            connection.execute(statement)
            connection.commit()
    else:
        damaged(filled, statement)
    assert problems(filled)["references"] == ("1 rows of page refer to no learner",)


@pytest.mark.only("sqlite")
def test_a_page_of_the_file_that_was_overwritten_is_found(filled: Database) -> None:
    filled.close()
    with file_of(filled).open("r+b") as file:
        # The third page: the header and the list of tables on the first ones stay readable.
        file.seek(2 * 4096)
        file.write(b"\xff" * 4096)
    assert problems(filled)


def test_tables_of_another_version_are_told_with_the_command_that_helps(database: Database) -> None:
    downgrade(database, "0005")
    (told,) = problems(database)["version of the tables"]
    assert "trainer db upgrade" in told
