"""The audit chain in the database."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sqlalchemy import Row, insert, select, text
from sqlalchemy.orm import Session

from trainer.persistence.people.rows import columns_of, table_of
from trainer.persistence.tables.operation import AuditRow
from trainer.services.operation.audit import AuditEntry, AuditEvent, entry_after

# Any number, the same on every machine: who writes to the chain holds it until the transaction ends.
_CHAIN_LOCK = 722_531_7
_AT_ONCE = 1000


class SqlAuditLog:
    """The chain, seen through one session."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def hold(self) -> None:
        """Lets writers take turns from here to the end of the transaction."""
        # SQLite has one writer at a time anyway.
        if self._session.get_bind().dialect.name == "postgresql":
            self._session.execute(_HOLD, {"lock": _CHAIN_LOCK})

    def append(self, event: AuditEvent) -> AuditEntry:
        """Puts the event at the end of the chain."""
        self.hold()
        newest = self._session.execute(_NEWEST).first()
        entry = entry_after(None if newest is None else _entry(newest), event)
        self._session.execute(_APPEND, {name: getattr(entry, name) for name in AuditEntry.__slots__})
        return entry

    def all(self) -> Iterator[AuditEntry]:
        """Every entry, first to last, a thousand at a time."""
        after = 0
        while True:
            query = select(AuditRow).where(AuditRow.number > after).order_by(AuditRow.number).limit(_AT_ONCE)
            rows = self._session.scalars(query).all()
            for row in rows:
                yield _entry(row)
            if not rows:
                return
            after = rows[-1].number
            self._session.expunge_all()

    def latest(self, organisation_id: str | None, *, before: int | None, limit: int) -> tuple[AuditEntry, ...]:
        """The newest entries of an organisation, newest first; None is the whole site."""
        query = select(AuditRow).order_by(AuditRow.number.desc()).limit(limit)
        if organisation_id is not None:
            query = query.where(AuditRow.organisation_id == organisation_id)
        if before is not None:
            query = query.where(AuditRow.number < before)
        return tuple(_entry(row) for row in self._session.scalars(query))


# Whoever appends keeps others waiting, so the statements are made once and give plain values.
_NEWEST = select(*columns_of(AuditRow, AuditEntry)).order_by(table_of(AuditRow).c.number.desc()).limit(1)
_APPEND = insert(table_of(AuditRow))
_HOLD = text("SELECT pg_advisory_xact_lock(:lock)")


def _entry(row: AuditRow | Row[Any]) -> AuditEntry:
    return AuditEntry(**{name: getattr(row, name) for name in AuditEntry.__slots__})
