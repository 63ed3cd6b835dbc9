"""Counters of tries in the database, as the library for limits asks for a storage."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from datetime import datetime, timedelta

from limits.storage import Storage
from sqlalchemy import bindparam, case, delete, select
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.exc import SQLAlchemyError

from trainer.persistence.database import Database
from trainer.persistence.people.rows import table_of
from trainer.persistence.tables.operation import RateCountRow

_CLEARED_ONCE_IN = 200


class RateCounts(Storage):
    """Counts in fixed windows; one statement counts and tells, so that several machines count together."""

    STORAGE_SCHEME = ["trainer-database"]  # noqa: RUF012 - the library declares it so

    def __init__(self, uri: str | None = None, *, database: Database, now: Callable[[], datetime]) -> None:
        super().__init__(uri)
        self._database = database
        self._now = now
        self._counted = 0

    @property
    def base_exceptions(self) -> type[Exception]:
        """What the database raises."""
        return SQLAlchemyError

    def incr(self, key: str, expiry: int, amount: int = 1) -> int:
        """Counts, and tells the number in the window that is open now."""
        now = self._now()
        with self._database.writing() as session:
            self._clear_old(now, session.execute)
            on_postgresql = session.get_bind().dialect.name == "postgresql"
            insert = postgresql.insert if on_postgresql else sqlite.insert
            until = now + timedelta(seconds=expiry)
            statement = insert(RateCountRow).values(key=_hashed(key), hits=amount, expires_at=until)
            over = RateCountRow.expires_at <= now
            renewed = statement.on_conflict_do_update(
                index_elements=[RateCountRow.key],
                set_={
                    "hits": case((over, amount), else_=RateCountRow.hits + amount),
                    "expires_at": case((over, until), else_=RateCountRow.expires_at),
                },
            )
            return session.execute(renewed.returning(RateCountRow.hits)).scalar_one()

    def get(self, key: str) -> int:
        """The number in the window that is open now."""
        with self._database.reading() as session:
            return session.execute(_HITS, {"counted": _hashed(key), "now": self._now()}).scalar_one_or_none() or 0

    def get_expiry(self, key: str) -> float:
        """When the window closes, in seconds since 1970."""
        query = select(RateCountRow.expires_at).where(RateCountRow.key == _hashed(key))
        with self._database.reading() as session:
            found = session.execute(query).scalar_one_or_none()
        return (found or self._now()).timestamp()

    def check(self) -> bool:
        """True when the database answers."""
        with self._database.reading() as session:
            session.execute(select(RateCountRow.hits).limit(1))
        return True

    def reset(self) -> int | None:
        """Forgets all counts; gives their number."""
        with self._database.writing() as session:
            return len(session.execute(delete(RateCountRow).returning(RateCountRow.hits)).all())

    def clear(self, key: str) -> None:
        """Forgets one count."""
        with self._database.writing() as session:
            session.execute(delete(RateCountRow).where(RateCountRow.key == _hashed(key)))

    def _clear_old(self, now: datetime, execute: Callable[..., object]) -> None:
        self._counted += 1
        if self._counted % _CLEARED_ONCE_IN == 1:
            execute(delete(RateCountRow).where(RateCountRow.expires_at <= now))


# Each sign-in asks three times before it is tried, so the statement is made once.
_TABLE = table_of(RateCountRow)
_HITS = select(_TABLE.c.hits).where(_TABLE.c.key == bindparam("counted"), _TABLE.c.expires_at > bindparam("now"))


def _hashed(key: str) -> str:
    return hashlib.sha256(key.encode("utf-8", "surrogatepass")).hexdigest()
