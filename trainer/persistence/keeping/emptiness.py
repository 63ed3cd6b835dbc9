"""Whether a database is empty: what may be filled without losing anything."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import inspect

from trainer.domain.errors import Problem, TrainerError
from trainer.persistence.database import Database


class NotEmptyError(TrainerError):
    """A place that is meant to be empty and is not."""


def refuse_unless_empty(database: Database) -> None:
    """Nothing where the database has no tables. *Raises* NotEmptyError."""
    if (found := tables_of(database)) > 0:
        problem = f"is not empty: it has {found} tables; name a database without tables, nothing was changed"
        raise NotEmptyError(Problem(path=str(database.address), problem=problem))


def tables_of(database: Database) -> int:
    """The number of tables; an SQLite file that is not there has none and is not made by asking."""
    if database.kind == "sqlite" and not file_of(database).exists():
        return 0
    with database.reading() as session:
        return len(inspect(session.connection()).get_table_names())


def file_of(database: Database) -> Path:
    """The file of an SQLite database."""
    return Path(database.address.database or "")
