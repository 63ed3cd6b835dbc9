"""Names and addresses as people type them, made comparable, or refused with the reason."""

from __future__ import annotations

import re
import unicodedata

from trainer.domain.errors import Problem
from trainer.services.people.errors import AccountError

LONGEST_NAME = 200
LONGEST_SHORT = 80
LONGEST_EMAIL = 254

# RFC 5322 dot-atom, RFC 1034 labels: what mail systems really use. Quoted local parts are left out on purpose.
_ATOM = r"[a-z0-9!#$%&'*+/=?^_`{|}~-]+"
_LABEL = r"[a-z0-9](?:[a-z0-9-]{0,61}[a-z0-9])?"
_EMAIL = re.compile(rf"{_ATOM}(?:\.{_ATOM})*@{_LABEL}(?:\.{_LABEL})+")
_SIGN_IN_NAME = re.compile(r"[a-z0-9](?:[a-z0-9._-]{1,38})[a-z0-9]")


def clean(text: str) -> str:
    """The text in composed form (Unicode NFC), without space at its ends and with single spaces inside."""
    return " ".join(unicodedata.normalize("NFC", text).split())


def checked_name(text: str, path: str, longest: int = LONGEST_NAME) -> str:
    """A name to show. *Raises* AccountError."""
    name = clean(text)
    if not name:
        raise AccountError(Problem(path=path, problem="is empty; write a name"))
    if len(name) > longest:
        raise AccountError(Problem(path=path, problem=f"is longer than {longest} characters"))
    if any(unicodedata.category(sign) in {"Cc", "Cf", "Cs", "Co", "Cn"} for sign in name):
        raise AccountError(Problem(path=path, problem="holds characters that cannot be seen; type it anew"))
    return name


def checked_email(text: str, path: str = "email") -> str:
    """An address, case folded: mail systems do not tell the case apart. *Raises* AccountError."""
    email = unicodedata.normalize("NFKC", text).strip().lower()
    if len(email) > LONGEST_EMAIL or not _EMAIL.fullmatch(email):
        problem = "is not a mail address; write it as name@example.org"
        raise AccountError(Problem(path=path, value=email[:LONGEST_SHORT], problem=problem))
    return email


def checked_sign_in_name(text: str, path: str = "sign_in_name") -> str:
    """A chosen name to sign in with. Addresses become one by a link that was sent to them. *Raises* AccountError."""
    name = unicodedata.normalize("NFKC", text).strip().lower()
    if not _SIGN_IN_NAME.fullmatch(name):
        problem = "needs 3 to 40 letters a to z, digits, dots, dashes or underscores, a letter or digit at each end"
        raise AccountError(Problem(path=path, value=name[:LONGEST_SHORT], problem=problem))
    return name


def as_typed_to_sign_in(text: str) -> str:
    """What somebody typed to sign in with, as names are kept."""
    return unicodedata.normalize("NFKC", text).strip().lower()[:LONGEST_EMAIL]
