"""Repositories of one subject over one session: the answer to ``trainer.services.scopes``."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Final, Generic, TypeVar

from sqlalchemy import func, select
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from trainer.domain.errors import Problem
from trainer.persistence.database import Database
from trainer.persistence.failures import is_of_others
from trainer.services.scopes import GaveWayError

R = TypeVar("R")
T = TypeVar("T")

# Well below the second after which PostgreSQL ends one of those that wait for each other: whoever gives way
# has given up by then, and nobody else is ended.
_WAITS_MS: Final = 200
_TRIES: Final = 8
_PAUSE_S: Final = 0.1


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

    def giving_way(self, work: Callable[[R], T]) -> T:
        """What the work gives in one transaction, begun anew where it would have to wait for others for long.

        *Raises* GaveWayError where others were in the way each time.
        """
        for tries in range(_TRIES):
            try:
                with self._database.writing() as session:
                    if self._database.kind == "postgresql":
                        session.execute(select(func.set_config("lock_timeout", f"{_WAITS_MS}ms", True)))
                    return work(self._build(session))
            except DBAPIError as error:
                if not is_of_others(error):
                    raise
                # Longer each time: somebody's save takes moments, a backup of a table longer.
                time.sleep(_PAUSE_S * (tries + 1))
        problem = "is being changed by somebody at this moment; try again in a minute, which does what is left of it"
        raise GaveWayError(Problem(path="what is stored", problem=problem))
