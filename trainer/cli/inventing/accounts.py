"""The invented accounts and their one password; light, since the demo tells of them at once."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage

ACCOUNTS = ("learner", "lecturer", "administrator", "fitter", "manager")
PASSWORD_FILE = "demo-password"  # noqa: S105 - the name of the file, not a secret


def password_in(folder: Path) -> str:
    """The password of the invented accounts, made at the first call and kept where only its owner reads it."""
    file = folder / PASSWORD_FILE
    try:
        handle = os.open(file, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
    except FileExistsError:
        return file.read_text(encoding="ascii").strip()
    password = secrets.token_urlsafe(12)
    with os.fdopen(handle, "w", encoding="ascii") as opened:
        opened.write(password)
    return password


def is_empty(storage: SqlStorage) -> bool:
    """True as long as no organisation is there: what people made is never mixed with what is invented."""
    with storage.scopes(people_repositories).reading() as stored:
        return not list(stored.organisations.by_name("", limit=1))
