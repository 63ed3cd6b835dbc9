"""Statements that SQLite and PostgreSQL share but SQLAlchemy spells for each."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import Session
from sqlalchemy.sql import Executable

from trainer.persistence.models import Base


def insert_unless_there(session: Session, table: type[Base], values: Mapping[str, Any]) -> Executable:
    """INSERT ... ON CONFLICT DO NOTHING: of several equal inserts, one is carried out and none fails."""
    if session.get_bind().dialect.name == "postgresql":
        return postgresql.insert(table).values(**values).on_conflict_do_nothing()
    return sqlite.insert(table).values(**values).on_conflict_do_nothing()
