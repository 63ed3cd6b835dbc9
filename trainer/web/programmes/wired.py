"""The use cases of programmes over this application's storage, and what the addresses of their lists carry."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import TypeVar

from flask import request

from trainer.persistence.programmes.repositories import programme_repositories
from trainer.services.programmes.desk import ProgrammesBase
from trainer.services.programmes.records import Filter
from trainer.services.programmes.refreshers import Refreshers
from trainer.services.programmes.storage import Place
from trainer.services.programmes.words import Standing
from trainer.services.scenarios import make_task
from trainer.web.practice.writing import StoredForm
from trainer.web.wiring import wiring

D = TypeVar("D", bound=ProgrammesBase)

_LONGEST = 100
_SEPARATOR = "~"


def programmes(kind: type[D]) -> D:
    """The use cases of one kind."""
    wired = wiring()
    return kind(storage=wired.storage.scopes(programme_repositories), now=wired.now, new_id=wired.new_id)


def refreshers() -> Refreshers:
    """Refreshers, with the program's own scenario data."""
    wired = wiring()
    return Refreshers(
        storage=wired.storage.scopes(programme_repositories),
        now=wired.now,
        new_id=wired.new_id,
        make=make_task,
        form=StoredForm(),
    )


def chosen(fields: Mapping[str, str] | None = None) -> Filter:
    """What the address narrows a list by, or the fields of a form."""
    given = request.args if fields is None else fields
    standing = given.get("standing", "")
    return Filter(
        site_id=given.get("site", "")[:_LONGEST],
        trade_role_id=given.get("role", "")[:_LONGEST],
        standing=Standing(standing) if standing in list(Standing) else None,
        search=given.get("search", "")[:_LONGEST],
    )


def after_name() -> Place | None:
    """Where the next page of a list by name begins."""
    name, separator, thing_id = request.args.get("after", "").rpartition(_SEPARATOR)
    return (name, thing_id) if separator else None


def after_time() -> Place | None:
    """Where the next page of a list by time begins; an address that was typed wrongly begins at the start."""
    place = after_name()
    if place is None:
        return None
    try:
        at = datetime.fromisoformat(place[0])
    except ValueError:
        return None
    return None if at.tzinfo is None else place


def following(sorted_by: str | datetime, thing_id: str) -> str:
    """What the address of the next page carries."""
    name = sorted_by.isoformat() if isinstance(sorted_by, datetime) else sorted_by
    return f"{name}{_SEPARATOR}{thing_id}"
