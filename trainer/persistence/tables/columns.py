"""Column types and constraints that the tables share."""

from __future__ import annotations

from enum import StrEnum

from sqlalchemy import CheckConstraint, ForeignKeyConstraint, String

# A SHA-256 in hexadecimal digits.
HASH = String(64)
# 256 random bits in base64 take 43 characters; ids of pages take 24.
RANDOM_ID = String(43)
NAME = String(80)
TITLE = String(200)
# The longest address that RFC 5321 lets a server accept (path of 256 octets less its angle brackets).
EMAIL = String(254)
VERSION = String(20)
WORD = String(20)


def one_of(column: str, words: type[StrEnum]) -> CheckConstraint:
    """The column holds a word of the closed list."""
    listed = ", ".join(f"'{word.value}'" for word in words)
    return CheckConstraint(f"{column} IN ({listed})", name=f"{column}_is_known")


def inside(column: str, table: str) -> ForeignKeyConstraint:
    """The column refers to a row of the same organisation: what the database refuses nobody can overlook."""
    return ForeignKeyConstraint(["organisation_id", column], [f"{table}.organisation_id", f"{table}.id"])
