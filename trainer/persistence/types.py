"""Column types that mean the same in SQLite and in PostgreSQL."""

from __future__ import annotations

import zlib
from datetime import UTC, datetime

from sqlalchemy import DateTime, LargeBinary
from sqlalchemy.engine import Dialect
from sqlalchemy.types import TypeDecorator

from trainer.domain.errors import Problem, TrainerError

# Level 6 shrinks a scenario's JSON about as far as 9 does, in a third of the time.
_COMPRESSION_LEVEL = 6


class NaiveDatetimeError(ValueError):
    """A time without a zone, which would be read differently on another machine."""


class DamagedContentError(TrainerError):
    """Stored bytes that are no longer what was written."""


class UtcDateTime(TypeDecorator[datetime]):
    """A moment in UTC; a time without a zone is refused."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """The moment in UTC, as it goes into the database."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise NaiveDatetimeError(f"{value.isoformat()} has no time zone: pass a time in UTC")
        return value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """The moment with its zone: SQLite gives back none, PostgreSQL the session's."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


def packed(value: bytes) -> bytes:
    """The bytes as ``CompressedBytes`` stores them, for whoever has time for it before others wait."""
    return zlib.compress(value, _COMPRESSION_LEVEL)


class CompressedBytes(TypeDecorator[bytes]):
    """Bytes that are compressed in the database."""

    impl = LargeBinary
    cache_ok = True

    def process_bind_param(self, value: bytes | None, dialect: Dialect) -> bytes | None:  # noqa: ARG002
        """The compressed bytes."""
        return None if value is None else packed(value)

    def process_result_value(self, value: bytes | None, dialect: Dialect) -> bytes | None:  # noqa: ARG002
        """The bytes as they were stored. *Raises* DamagedContentError."""
        if value is None:
            return None
        try:
            return zlib.decompress(value)
        except (zlib.error, TypeError) as error:
            problem = "what is stored here is damaged and cannot be unpacked; restore it from a backup"
            raise DamagedContentError(Problem(path="stored content", problem=problem)) from error
