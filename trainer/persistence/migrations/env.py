"""Alembic's entry: runs the migrations on the connection it was handed (see trainer.persistence.schema)."""

from __future__ import annotations

from typing import Any, Literal

from alembic import context
from sqlalchemy.types import TypeDecorator

from trainer.persistence.tables import Base


def _render(kind: str, thing: Any, _context: Any) -> str | Literal[False]:
    """Writes a column type of our own as the plain type below it, so that old migrations never change."""
    if kind == "type" and isinstance(thing, TypeDecorator):
        return f"sa.{thing.impl!r}"
    return False


context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Base.metadata,
    # Batches write table changes in the form that SQLite can carry out.
    render_as_batch=True,
    render_item=_render,
    compare_type=True,
)
with context.begin_transaction():
    context.run_migrations()
