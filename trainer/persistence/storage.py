"""The stored data in a database; the tables are loaded with the first question."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, TypeVar

from sqlalchemy.orm import Session

from trainer.persistence.database import Database
from trainer.persistence.scopes import SqlScopes

if TYPE_CHECKING:
    from trainer.persistence.looks import SqlLooks
    from trainer.persistence.repositories import SqlRepositories

R = TypeVar("R")


class SqlStorage:
    """The stored data in a database."""

    def __init__(self, database: Database) -> None:
        self._database = database

    @property
    def database(self) -> Database:
        """The database."""
        return self._database

    @property
    def looks(self) -> SqlLooks:
        """What every page of practice asks."""
        from trainer.persistence.looks import SqlLooks  # noqa: PLC0415 - many tables

        return SqlLooks(self._database)

    def scopes(self, build: Callable[[Session], R]) -> SqlScopes[R]:
        """The same database, opened with the repositories of another subject."""
        return SqlScopes(self._database, build)

    @contextmanager
    def reading(self) -> Iterator[SqlRepositories]:
        """Repositories that read; an attempt to write through them fails."""
        with self._database.reading() as session:
            yield _repositories(session)

    @contextmanager
    def writing(self) -> Iterator[SqlRepositories]:
        """Repositories in one transaction: durable when the block ends, undone if it raises."""
        with self._database.writing() as session:
            yield _repositories(session)


def _repositories(session: Session) -> SqlRepositories:
    from trainer.persistence.repositories import repositories  # noqa: PLC0415 - many tables

    return repositories(session)
