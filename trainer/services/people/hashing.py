"""Argon2id by argon2-cffi.

Source of the parameters: OWASP password storage cheat sheet, second choice of equal strength for
Argon2id: 19 MiB, two iterations, one lane. RFC 9106 describes the function.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from typing import TypeVar

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from trainer.services.people.passwords import Hasher, normalised

ITERATIONS = 2
MEMORY_KIB = 19 * 1024
LANES = 1
_STANDS_BACK = 10
T = TypeVar("T")


class Argon2:
    """Argon2id with a salt for each password."""

    def __init__(self, iterations: int = ITERATIONS, memory_kib: int = MEMORY_KIB, lanes: int = LANES) -> None:
        self._hasher = PasswordHasher(time_cost=iterations, memory_cost=memory_kib, parallelism=lanes)
        # Checked where there is no account, so that both take the same time.
        self._nobody = self._hasher.hash("nobody has this password")

    def hash(self, password: str) -> str:
        """What is stored."""
        return self._hasher.hash(normalised(password))

    def verify(self, stored: str | None, password: str) -> bool:
        """True when it is this password; takes as long for None, which stands for no account."""
        try:
            self._hasher.verify(stored or self._nobody, normalised(password))
        except (VerificationError, InvalidHashError):
            return False
        return stored is not None

    def is_outdated(self, stored: str) -> bool:
        """True when it was hashed with other parameters than now."""
        return self._hasher.check_needs_rehash(stored)


@dataclass(frozen=True, slots=True)
class StandingBack:
    """A hasher that lets everybody else go first: a hash takes as long as ten saves, and hundreds may come at once.

    A processor that nobody wants is used to the full, which no pause between two hashes would do.
    *Source* sched(7): under Linux a nice value is of one thread; elsewhere it is of the whole
    process, which could not come forward again, so there nothing stands back.
    """

    hasher: Hasher

    def hash(self, password: str) -> str:
        """What is stored."""
        return _standing_back(lambda: self.hasher.hash(password))

    def verify(self, stored: str | None, password: str) -> bool:
        """True when it is this password; takes as long for None, which stands for no account."""
        return _standing_back(lambda: self.hasher.verify(stored, password))

    def is_outdated(self, stored: str) -> bool:
        """True when it was hashed with other parameters than now."""
        return self.hasher.is_outdated(stored)


def _standing_back(work: Callable[[], T]) -> T:
    if not sys.platform.startswith("linux"):
        return work()
    # A thread of its own each time: a forked worker would have inherited none, and starting one takes 0.1 ms.
    with ThreadPoolExecutor(1, "hash", initializer=_stand_back) as pool:
        return pool.submit(work).result()


def _stand_back() -> None:
    # Where even that is forbidden, it is done with the usual priority.
    with suppress(OSError):
        os.nice(_STANDS_BACK)
