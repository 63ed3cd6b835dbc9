"""Statements that SQLite and PostgreSQL share but SQLAlchemy spells for each."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import literal
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import Session

from trainer.persistence.models import Base


def insert_unless_there(session: Session, table: type[Base], values: Mapping[str, Any]) -> bool:
    """True when the row was inserted, False when an equal one was there: of several at once, none fails.

    Asks for what came back, because drivers disagree on the number of rows they report.
    """
    insert = postgresql.insert if session.get_bind().dialect.name == "postgresql" else sqlite.insert
    statement = insert(table).values(**values).on_conflict_do_nothing().returning(literal(1))
    return session.execute(statement).first() is not None
