"""Argon2id by libsodium, which uses what the processor can do; so a hash takes less time here, and no less elsewhere.

Source of the parameters: OWASP ASVS 5.0.0, appendix C, approves Argon2id with 46 MiB once, 19 MiB twice or 12 MiB three
times, one lane; the OWASP password storage cheat sheet calls them equally strong. The last takes least time of a
processor. RFC 9106 describes the function.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from typing import TypeVar

from nacl.exceptions import CryptoError
from nacl.pwhash import argon2id

from trainer.services.people.passwords import Hasher, normalised

ITERATIONS = 3
MEMORY_KIB = 12 * 1024
LANES = 1
_STANDS_BACK = 10
_BYTES_PER_KIB = 1024
_HASH_BYTES = 32
T = TypeVar("T")


class Argon2:
    """Argon2id with a salt for each password, in one lane."""

    def __init__(self, iterations: int = ITERATIONS, memory_kib: int = MEMORY_KIB) -> None:
        self._iterations, self._memory_kib = iterations, memory_kib
        self._memory_bytes = memory_kib * _BYTES_PER_KIB
        # Checked where there is no account, so that both take the same time.
        self._nobody = self.hash("nobody has this password")

    def hash(self, password: str) -> str:
        """What is stored: the PHC string format, which names the parameters."""
        return argon2id.str(_bytes(password), opslimit=self._iterations, memlimit=self._memory_bytes).decode("ascii")

    def verify(self, stored: str | None, password: str) -> bool:
        """True when it is this password; takes as long for None, which stands for no account."""
        try:
            argon2id.verify((stored or self._nobody).encode("ascii"), _bytes(password))
        except (CryptoError, UnicodeEncodeError):
            return False
        return stored is not None

    def is_outdated(self, stored: str) -> bool:
        """True when it was hashed with other parameters than now."""
        return not stored.startswith(f"$argon2id$v=19$m={self._memory_kib},t={self._iterations},p={LANES}$")

    def hash_with(self, salt: bytes, code: str) -> str:
        """The hash alone, in hex."""
        hashed = argon2id.kdf(_HASH_BYTES, _bytes(code), salt, opslimit=self._iterations, memlimit=self._memory_bytes)
        return hashed.hex()


def _bytes(password: str) -> bytes:
    return normalised(password).encode("utf-8", "surrogatepass")


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

    def hash_with(self, salt: bytes, code: str) -> str:
        """The hash alone, in hex."""
        return _standing_back(lambda: self.hasher.hash_with(salt, code))


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
