"""The blueprint of the pages of papers, and their use cases over this application."""

from __future__ import annotations

from typing import TypeVar

from flask import Blueprint, current_app

from trainer.persistence.papers.repositories import paper_repositories
from trainer.services.papers.desk import PaperDesk
from trainer.web.practice.writing import StoredForm
from trainer.web.wiring import wiring

blueprint = Blueprint("papers", __name__, url_prefix="/papers")

D = TypeVar("D", bound=PaperDesk)
_DESKS = "trainer.paper_desks"


def desk(kind: type[D]) -> D:
    """The use cases of one kind, over this application's storage."""
    desks: dict[type[PaperDesk], PaperDesk] = current_app.extensions.setdefault(_DESKS, {})
    known = desks.get(kind)
    if not isinstance(known, kind):
        wired = wiring()
        known = desks[kind] = kind(
            storage=wired.storage.scopes(paper_repositories),
            form=StoredForm(),
            now=wired.now,
            new_id=wired.new_id,
        )
    return known
