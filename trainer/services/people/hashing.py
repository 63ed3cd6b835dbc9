"""Argon2id by argon2-cffi.

Source of the parameters: OWASP password storage cheat sheet, second choice of equal strength for
Argon2id: 19 MiB, two iterations, one lane. RFC 9106 describes the function.
"""

from __future__ import annotations

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from trainer.services.people.passwords import normalised

ITERATIONS = 2
MEMORY_KIB = 19 * 1024
LANES = 1


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
