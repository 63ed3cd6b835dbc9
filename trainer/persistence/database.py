"""Connections: one set that can only read, one that writes in transactions which never need an upgrade."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, create_engine, event, make_url
from sqlalchemy.engine import URL, Connection
from sqlalchemy.engine.interfaces import DBAPIConnection
from sqlalchemy.exc import ArgumentError, DisconnectionError
from sqlalchemy.orm import Session
from sqlalchemy.pool import ConnectionPoolEntry, NullPool, PoolProxiedConnection

from trainer.domain.errors import Problem, TrainerError
from trainer.persistence.prepared import Driven, driven
from trainer.persistence.turns import Turns

_BUSY_TIMEOUT_S = 30
_IDLE_S = 1.0
_USED = "trainer used at"
_TAKES_THE_RIGHT = "BEGIN IMMEDIATE"


# Any number will do, as long as every machine that starts at once asks for the same.
_MIGRATION_LOCK = 722_531_3


class DatabaseAddressError(TrainerError):
    """A database address that cannot be used."""


class MigrationError(TrainerError):
    """A change of the tables that would damage what is stored."""


class Database:
    """The stored data at one address, for reading and for writing."""

    def __init__(self, address: str) -> None:
        """Makes the two sets of connections; nothing is opened before it is needed.

        Raises: DatabaseAddressError.
        """
        self._url = _checked(address)
        self._readers = _engine(self._url, writes=False)
        self._writers = _engine(self._url, writes=True)
        file = self._url.database if self.kind == "sqlite" else None
        self._turns = Turns(Path(file) if file else None)

    @property
    def address(self) -> URL:
        """Where the data is; as text it hides the password."""
        return self._url

    @property
    def kind(self) -> str:
        """``sqlite`` or ``postgresql``."""
        return self._url.get_backend_name()

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session in which each statement reads on its own and nothing can be written."""
        with Session(self._readers, autoflush=False, expire_on_commit=False) as session:
            yield session

    @contextmanager
    def asking(self) -> Iterator[Driven]:
        """The same for what every request asks, without what a session costs."""
        with driven(self._readers) as asked:
            yield asked

    @contextmanager
    def moment(self) -> Iterator[Session]:
        """A session that sees one moment of the data and can write nothing: for reading all of it."""
        with Session(self._readers, autoflush=False, expire_on_commit=False) as session:
            if self.kind == "sqlite":
                session.connection().exec_driver_sql("BEGIN")
            else:
                # Also what a cursor on the server needs, so that rows come a few at a time.
                session.connection(execution_options={"isolation_level": "REPEATABLE READ"})
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """A session in one transaction: durable when the block ends, undone if it raises.

        In SQLite it holds the right to write from its start, so writers take turns. In
        PostgreSQL they run side by side: who reads in order to write locks the row or
        leans on a constraint.
        """
        with self._turns.taken(), Session(self._writers, expire_on_commit=False) as session, session.begin():
            yield session

    @contextmanager
    def at_once(self) -> Iterator[Driven]:
        """For one short write without what a session costs; durable when the block ends.

        In SQLite all of the block is one transaction. In PostgreSQL each statement is one of its own,
        which spares a trip for its begin and another for its end.
        """
        if self.kind == "sqlite":
            # Nothing is done in a turn that others need not wait for.
            with driven(self._writers) as asked, self._turns.taken(), _transaction_of(asked):
                yield asked
        else:
            with driven(self._writers) as asked, _by_themselves(asked):
                yield asked

    @contextmanager
    def migrating(self) -> Iterator[Connection]:
        """A connection in one transaction for changing tables.

        SQLite changes a table by copying it, so references are checked at the end instead
        of at each statement.
        """
        engine = _engine(self._url, writes=True, migrates=True)
        with engine.begin() as connection:
            if connection.dialect.name == "postgresql":
                connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_MIGRATION_LOCK})")
            yield connection
            _refuse_broken_references(connection)

    def close(self) -> None:
        """Closes all connections; they open again when needed."""
        self._readers.dispose()
        self._writers.dispose()


def _checked(address: str) -> URL:
    try:
        url = make_url(address)
    except ArgumentError as error:
        problem = "not a database address; use sqlite:///FILE or postgresql://USER@HOST/NAME"
        raise DatabaseAddressError(Problem(path="database address", problem=problem)) from error
    kind = url.get_backend_name()
    if kind == "postgresql":
        return url.set(drivername="postgresql+psycopg")
    if kind != "sqlite":
        kinds = ("sqlite", "postgresql")
        raise DatabaseAddressError(Problem(path="database address", value=kind, problem="unknown kind", possible=kinds))
    if not url.database or url.database == ":memory:":
        problem = "an SQLite database needs a file: it is shared by several connections"
        raise DatabaseAddressError(Problem(path="database address", problem=problem))
    return url


def _engine(url: URL, *, writes: bool, migrates: bool = False) -> Engine:
    pool = {"poolclass": NullPool} if migrates else {}
    if url.get_backend_name() == "sqlite":
        engine = create_engine(url, connect_args={"timeout": _BUSY_TIMEOUT_S}, **pool)
        event.listen(engine, "connect", _sqlite_settings(writes=writes, references=not migrates))
        if writes:
            event.listen(engine, "begin", _begin_immediate)
        return engine
    read_only: dict[str, Any] = {"options": "-c default_transaction_read_only=on"}
    engine = (
        create_engine(url, **pool)
        if writes
        else create_engine(url, isolation_level="AUTOCOMMIT", connect_args=read_only, **pool)
    )
    _ask_idle_ones(engine)
    return engine


def _ask_idle_ones(engine: Engine) -> None:
    """Lets a connection that lay idle answer before it is used; the server may have been started anew meanwhile.

    One that was used a moment ago is taken as it is: asking each time would be every third trip to the server.
    """

    def back(_connection: DBAPIConnection, entry: ConnectionPoolEntry) -> None:
        entry.info[_USED] = time.monotonic()

    def out(connection: DBAPIConnection, entry: ConnectionPoolEntry, _proxy: PoolProxiedConnection) -> None:
        if time.monotonic() - entry.info.get(_USED, math.inf) < _IDLE_S:
            return
        try:
            engine.dialect.do_ping(connection)
        except engine.dialect.loaded_dbapi.Error as error:
            raise DisconnectionError from error

    event.listen(engine, "checkin", back)
    event.listen(engine, "checkout", out)


def _sqlite_settings(*, writes: bool, references: bool) -> Callable[[DBAPIConnection, ConnectionPoolEntry], None]:
    def connected(connection: DBAPIConnection, _entry: ConnectionPoolEntry) -> None:
        # The driver must open no transaction of its own: a deferred one that reads and then
        # writes fails at once, without waiting, when another has written in between.
        connection.isolation_level = None
        cursor = connection.cursor()
        cursor.execute("PRAGMA journal_mode=WAL")
        cursor.execute("PRAGMA synchronous=FULL")
        cursor.execute(f"PRAGMA foreign_keys={'ON' if references else 'OFF'}")
        cursor.execute(f"PRAGMA query_only={'OFF' if writes else 'ON'}")
        cursor.close()

    return connected


def _begin_immediate(connection: Connection) -> None:
    connection.exec_driver_sql(_TAKES_THE_RIGHT)


@contextmanager
def _transaction_of(asked: Driven) -> Iterator[None]:
    asked.run(_TAKES_THE_RIGHT)
    try:
        yield
    except BaseException:
        asked.connection.rollback()
        raise
    asked.connection.commit()


@contextmanager
def _by_themselves(asked: Driven) -> Iterator[None]:
    """Each statement in a transaction of its own, for the time of the block."""
    asked.connection.autocommit = True
    try:
        yield
    finally:
        # Of a connection that was lost nothing can be set; it is not used again.
        if not asked.connection.closed:
            asked.connection.autocommit = False


def _refuse_broken_references(connection: Connection) -> None:
    if connection.dialect.name != "sqlite":
        return
    broken = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
    if broken:
        tables = ", ".join(sorted({row[0] for row in broken}))
        problem = "the change would leave rows that refer to nothing; it was undone"
        raise MigrationError(Problem(path=tables, problem=problem))
