"""What the database is asked, by whichever way."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from unittest.mock import patch

from sqlalchemy import event
from sqlalchemy.engine import Engine

from trainer.persistence.prepared import Driven


@contextmanager
def statements() -> Iterator[list[str]]:
    """Every statement in its order: those of SQLAlchemy, and those that go to the driver itself."""
    said: list[str] = []
    run = Driven.run

    def executed(_connection: object, _cursor: object, statement: str, *_more: object) -> None:
        said.append(statement)

    def heard(asked: Driven, statement: str, *values: Any) -> Any:
        said.append(statement)
        return run(asked, statement, *values)

    event.listen(Engine, "before_cursor_execute", executed)
    try:
        with patch.object(Driven, "run", heard):
            yield said
    finally:
        event.remove(Engine, "before_cursor_execute", executed)
