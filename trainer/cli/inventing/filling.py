"""Filling an empty database once."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

from trainer.cli.inventing.accounts import is_empty
from trainer.cli.inventing.college import invent_college
from trainer.cli.inventing.firm import invent_firm
from trainer.cli.inventing.workshop import Clock, Form, Workshop
from trainer.persistence.repositories import SqlStorage

_DAYS_BACK = 430


def fill(storage: SqlStorage, password: str, form: Form, new_id: Callable[[], str], today: datetime) -> None:
    """Makes firm and college in an empty database; in one that has organisations it does nothing."""
    if not is_empty(storage):
        return
    clock = Clock(today - timedelta(days=_DAYS_BACK))
    shop = Workshop(storage=storage, password=password, clock=clock, form=form, new_id=new_id)
    invent_firm(shop, today)
    invent_college(shop, today)
