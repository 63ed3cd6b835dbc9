"""Counters of tries in the database, as the library for limits asks for a storage."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import datetime, timedelta
from functools import cache
from typing import Any

from limits.storage import Storage
from sqlalchemy import BindParameter, Select, bindparam, case, delete, select
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
        _foretold.get({}).pop(key, None)
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
        known = _foretold.get({}).pop(key, None)
        return self._hits([key])[key] if known is None else known

    @contextmanager
    def asked_at_once(self, keys: Sequence[str]) -> Iterator[None]:
        """Asks for several counts by one statement; within the block each is then told once without asking."""
        before = _foretold.set(self._hits(keys))
        try:
            yield
        finally:
            _foretold.reset(before)

    def _hits(self, keys: Sequence[str]) -> dict[str, int]:
        hashed = {key: _hashed(key) for key in keys}
        names = {f"counted{number}": each for number, each in enumerate(hashed.values())}
        with self._database.reading() as session:
            rows = session.execute(_hits_of(len(names)), {**names, "now": self._now()}).all()
        found = {row.key: row.hits for row in rows}
        return {key: found.get(each, 0) for key, each in hashed.items()}

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
        _foretold.get({}).pop(key, None)
        with self._database.writing() as session:
            session.execute(delete(RateCountRow).where(RateCountRow.key == _hashed(key)))

    def _clear_old(self, now: datetime, execute: Callable[..., object]) -> None:
        self._counted += 1
        if self._counted % _CLEARED_ONCE_IN == 1:
            execute(delete(RateCountRow).where(RateCountRow.expires_at <= now))


_TABLE = table_of(RateCountRow)
# What was asked for by one statement and is not told yet, in the request that is answered here.
_foretold: ContextVar[dict[str, int]] = ContextVar("foretold")


@cache
def _hits_of(number: int) -> Select[Any]:
    """Made once for each number: a class signs in at one moment."""
    wanted: list[BindParameter[str]] = [bindparam(f"counted{each}") for each in range(number)]
    return select(_TABLE.c.key, _TABLE.c.hits).where(_TABLE.c.key.in_(wanted), _TABLE.c.expires_at > bindparam("now"))


def _hashed(key: str) -> str:
    return hashlib.sha256(key.encode("utf-8", "surrogatepass")).hexdigest()
