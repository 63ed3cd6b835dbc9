"""Repositories of one subject over one session: the answer to ``trainer.services.scopes``."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Generic, TypeVar

from sqlalchemy.orm import Session

from trainer.persistence.database import Database

R = TypeVar("R")


class SqlScopes(Generic[R]):
    """Opens what ``build`` makes of a session."""

    def __init__(self, database: Database, build: Callable[[Session], R]) -> None:
        self._database = database
        self._build = build

    @contextmanager
    def reading(self) -> Iterator[R]:
        """Repositories that read; an attempt to write through them fails."""
        with self._database.reading() as session:
            yield self._build(session)

    @contextmanager
    def writing(self) -> Iterator[R]:
        """Repositories in one transaction: durable when the block ends, undone if it raises."""
        with self._database.writing() as session:
            yield self._build(session)
