"""Filling an empty database once, and the one password of all invented accounts."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

from trainer.cli.inventing.college import invent_college
from trainer.cli.inventing.firm import invent_firm
from trainer.cli.inventing.workshop import Clock, Form, Workshop
from trainer.persistence.people.repositories import people_repositories
from trainer.persistence.repositories import SqlStorage

ACCOUNTS = ("learner", "lecturer", "administrator", "fitter", "manager")
_FILE = "demo-password"
_DAYS_BACK = 430


def password_in(folder: Path) -> str:
    """The password of the invented accounts, made at the first call and kept where only its owner reads it."""
    file = folder / _FILE
    if not file.exists():
        file.touch(mode=0o600)
        file.write_text(secrets.token_urlsafe(12), encoding="ascii")
    return file.read_text(encoding="ascii").strip()


def is_empty(storage: SqlStorage) -> bool:
    """True as long as no organisation is there: what people made is never mixed with what is invented."""
    with storage.scopes(people_repositories).reading() as stored:
        return not list(stored.organisations.all())


def fill(storage: SqlStorage, password: str, form: Form, new_id: Callable[[], str], today: datetime) -> None:
    """Makes firm and college in an empty database; in one that has organisations it does nothing."""
    if not is_empty(storage):
        return
    clock = Clock(today - timedelta(days=_DAYS_BACK))
    shop = Workshop(storage=storage, password=password, clock=clock, form=form, new_id=new_id)
    invent_firm(shop, today)
    invent_college(shop, today)
