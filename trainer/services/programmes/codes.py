"""The code of a training record: random, to be read off paper and typed by a third party."""

from __future__ import annotations

import secrets

# Crockford's base 32: no I, L, O and U, so that nothing is read as something else.
_ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
_LENGTH = 26
"""26 characters of 5 bits are 130 bits: nobody guesses one."""
_GROUP = 5
_READ_AS = str.maketrans({"O": "0", "I": "1", "L": "1", "-": None, " ": None})


def new_code() -> str:
    """A code of 130 random bits, without dashes as it is kept."""
    return "".join(secrets.choice(_ALPHABET) for _ in range(_LENGTH))


def as_typed(text: str) -> str:
    """What somebody typed or read, as codes are kept; no longer than a little more than a code."""
    return text[:200].upper().translate(_READ_AS)[: 2 * _LENGTH]


def shown(code: str) -> str:
    """The code in groups, as it is printed."""
    return "-".join(code[start : start + _GROUP] for start in range(0, len(code), _GROUP))
