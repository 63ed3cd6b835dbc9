"""Statements that SQLite and PostgreSQL share but SQLAlchemy spells for each."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from sqlalchemy import Table, literal
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import Session
from sqlalchemy.sql.dml import ReturningInsert

from trainer.persistence.models import Base
from trainer.persistence.people.rows import table_of


def insert_unless_there(session: Session, table: type[Base], values: Mapping[str, Any]) -> bool:
    """True when the row was inserted, False when an equal one was there: of several at once, none fails.

    Asks for what came back, because drivers disagree on the number of rows they report.
    """
    statement = _unless_there(table_of(table), session.get_bind().dialect.name)
    return session.execute(statement, dict(values)).first() is not None


@cache
def _unless_there(table: Table, dialect: str) -> ReturningInsert[Any]:
    """Made once for each table: while a class hands in, whoever writes keeps others waiting."""
    insert = postgresql.insert if dialect == "postgresql" else sqlite.insert
    return insert(table).on_conflict_do_nothing().returning(literal(1))
