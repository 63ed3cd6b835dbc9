"""What a page needs from outside: storage, the time, and randomness. Tests pass their own."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime

from flask import current_app

from trainer.persistence.storage import SqlStorage
from trainer.services.people.mail import Mail, MailBox

EXTENSION = "trainer"

_ID_BYTES = 18
_SEED_BITS = 63


def utc_now() -> datetime:
    """The time of the server in UTC."""
    return datetime.now(UTC)


def random_id() -> str:
    """An id of 144 random bits in 24 characters that are safe in an address."""
    return secrets.token_urlsafe(_ID_BYTES)


def random_seed() -> int:
    """A seed, 0 <= seed < 2^63."""
    return secrets.randbits(_SEED_BITS)


class NoMail:
    """Takes mail and throws it away: for an application that nobody gave a way for mail."""

    def send(self, mail: Mail) -> None:
        """Nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wiring:
    """Everything outside the program that a page may use."""

    storage: SqlStorage
    now: Callable[[], datetime] = utc_now
    new_id: Callable[[], str] = random_id
    new_seed: Callable[[], int] = random_seed
    # Where mail goes; a command names one, a test brings its own.
    mail: MailBox = field(default_factory=NoMail)
    # The address under which the site is known, for links in mail; else that of the request.
    address: str | None = None


def wiring() -> Wiring:
    """The wiring of the application that answers the current request."""
    wired = current_app.extensions[EXTENSION]
    if not isinstance(wired, Wiring):
        raise TypeError(f"the application was put together without its wiring: {wired!r}")
    return wired
