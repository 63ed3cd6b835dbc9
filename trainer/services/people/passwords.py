"""Which passwords are good enough, and how they are kept.

Source: NIST SP 800-63B, section on memorised secrets: length before composition, all characters
allowed, compared with common values and with the names of the account; no expiry. OWASP ASVS 5.0,
V6.2, asks for the same, and for a comparison with leaked passwords. The least length of twelve is stricter than both
ask for.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from typing import Protocol

from trainer.domain.errors import Problem
from trainer.services.people.common_words import COMMON, RUNS
from trainer.services.people.errors import PasswordError
from trainer.services.people.leaked import is_leaked

SHORTEST = 12
LONGEST = 128
_FEWEST_DIFFERENT = 5
_LONGEST_RUN = 4
# Digits and signs that stand for letters.
_FOLDED = str.maketrans("013457@$!|", "oieastasii")
# A word of the account that is shorter than this says nothing about it.
_SHORTEST_NAME = 4
_WORDS_THAT_SUFFICE = 4


class Hasher(Protocol):
    """Keeps passwords so that they cannot be read back."""

    def hash(self, password: str) -> str:
        """What is stored."""

    def verify(self, stored: str | None, password: str) -> bool:
        """True when it is this password; takes as long for None, which stands for no account."""

    def is_outdated(self, stored: str) -> bool:
        """True when it was hashed with other parameters than now."""

    def hash_with(self, salt: bytes, code: str) -> str:
        """64 hex digits, the same each time for the 16 bytes of a salt: for what is looked up by its hash."""


def normalised(password: str) -> str:
    """The same for every keyboard that types it (Unicode NFKC)."""
    return unicodedata.normalize("NFKC", password)


def check_password(password: str, *, names: Sequence[str] = ()) -> None:
    """Refuses what is easy to guess; ``names`` are those of the account, which tell too much.

    *Raises* PasswordError.
    """
    reason = _weakness(normalised(password), names)
    if reason:
        raise PasswordError(Problem(path="password", problem=reason))


def _weakness(password: str, names: Sequence[str]) -> str:
    if len(password) < SHORTEST:
        return f"needs at least {SHORTEST} characters; four unrelated words are easy to keep in mind"
    if len(password) > LONGEST:
        return f"is longer than {LONGEST} characters"
    return _guessed(password) or (
        "holds the name of the account; choose words that have nothing to do with you"
        if any(_tells(name, password) for name in names)
        else ""
    )


def _guessed(password: str) -> str:
    if len(set(password)) < _FEWEST_DIFFERENT or _repeats(password):
        return "repeats the same few characters; four unrelated words are better"
    if _is_common(password):
        return "is made of words or runs of keys that are tried first; four unrelated words are better"
    if is_leaked(password, SHORTEST):
        return "was found in a leak and is tried early; four unrelated words are better"
    return ""


def _repeats(password: str) -> bool:
    return any(
        password == (password[:size] * (len(password) // size + 1))[: len(password)]
        for size in range(1, _LONGEST_RUN + 1)
    )


def _tells(name: str, password: str) -> bool:
    words = [word for word in re.split(r"[\W_]+", name.casefold()) if len(word) >= _SHORTEST_NAME]
    rest = password.casefold()
    for word in words:
        rest = rest.replace(word, "")
    # What is left must still be as good as a short password.
    return rest != password.casefold() and len(rest) < SHORTEST - _SHORTEST_NAME


def _is_common(password: str) -> bool:
    """True when common words, runs of keys, years and a few odd signs make it; four words apart are fine."""
    plain = password.casefold()
    if len(set(re.findall(r"[^\W\d_]{4,}", plain))) >= _WORDS_THAT_SUFFICE:
        return False
    return any(_segments(re.sub(r"[\W_]+", "", text)) for text in (plain, plain.translate(_FOLDED)))


def _segments(text: str) -> bool:
    """True when the text falls into common words, runs and up to four odd characters."""
    costs = [0] + [len(text) + 1] * len(text)
    for start in range(len(text)):
        if costs[start] > len(text):
            continue
        # An odd character costs one.
        costs[start + 1] = min(costs[start + 1], costs[start] + 1)
        for length in _common_from(text, start):
            costs[start + length] = min(costs[start + length], costs[start])
    return costs[-1] <= min(4, max(len(text) // 3, 1))


def _common_from(text: str, start: int) -> list[int]:
    words = [len(word) for word in COMMON if text.startswith(word, start)]
    runs = []
    for length in range(3, len(text) - start + 1):
        piece = text[start : start + length]
        if not any(piece in run for run in RUNS):
            break
        runs.append(length)
    year = re.match(r"(19|20)\d\d", text[start:])
    return words + runs + ([4] if year else [])
