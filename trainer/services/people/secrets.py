"""Random values and what is kept of them."""

from __future__ import annotations

import hashlib
import hmac
import secrets

_TOKEN_BYTES = 32
# Without letters and digits that look alike in a room: 0 O, 1 I L, 5 S, 2 Z, 8 B, U V.
ALPHABET = "34679ACDEFGHJKMNPQRTWXY"
_JOIN_LENGTH = 8
_RECOVERY_LENGTH = 12


def new_token() -> str:
    """256 random bits in 43 characters that are safe in an address."""
    return secrets.token_urlsafe(_TOKEN_BYTES)


def hash_of(token: str) -> str:
    """SHA-256: enough for 256 random bits, which nobody guesses whatever the speed."""
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


def new_join_code() -> str:
    """A code to be read off a wall: 23^8 are possible, about 2^36; guesses are limited."""
    return "".join(secrets.choice(ALPHABET) for _ in range(_JOIN_LENGTH))


def new_recovery_code() -> str:
    """A code to be kept on paper: 23^12 are possible, about 2^54."""
    return "".join(secrets.choice(ALPHABET) for _ in range(_RECOVERY_LENGTH))


def is_like_a_recovery_code(code: str) -> bool:
    """True for what could be one, so that nothing is worked out for codes of a device."""
    return len(code) == _RECOVERY_LENGTH


def in_groups(code: str) -> str:
    """The code in groups of four, as it is shown."""
    return "-".join(code[start : start + 4] for start in range(0, len(code), 4))


def as_code(text: str) -> str:
    """What somebody typed for a code: capitals without what separates."""
    return "".join(sign for sign in text.upper() if sign.isalnum())[:40]


def derived(key: str, *parts: str) -> bytes:
    """A secret that needs no place to be kept: HMAC-SHA256 (RFC 2104) of the parts under the site's secret."""
    message = "\x1f".join(parts).encode()
    return hmac.new(key.encode(), message, hashlib.sha256).digest()
