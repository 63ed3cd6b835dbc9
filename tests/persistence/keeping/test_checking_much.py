"""What a check tells where very much is wrong."""

from __future__ import annotations

from sqlalchemy import text

from tests.persistence.records import TASK
from trainer.persistence.database import Database
from trainer.persistence.keeping.checking import NAMED_AT_MOST, checked

_COLUMNS = "content, seed, generator_version, rule_set_version, edition, kind, level, archetype, created_at"


def test_of_very_many_wrong_tasks_some_are_named_and_the_rest_is_counted(filled: Database) -> None:
    with filled.writing() as session:
        for number in range(NAMED_AT_MOST + 20):
            copied = f"INSERT INTO task (content_hash, {_COLUMNS}) SELECT :other, {_COLUMNS} FROM task"
            where = "WHERE content_hash = :old"
            session.execute(text(f"{copied} {where}"), {"other": f"{number:064}", "old": TASK.content_hash})
    (told,) = [each.problems for each in checked(filled) if each.problems]
    assert len(told) == NAMED_AT_MOST + 1
    assert told[-1] == "and 20 more tasks"
