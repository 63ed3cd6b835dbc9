"""Sittings put together with what the application has: storage, clock, scenario data."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import TypeVar

from flask import current_app

from trainer.persistence.sittings.repositories import sitting_repositories
from trainer.services.answering import Solutions
from trainer.services.scenarios import scenarios
from trainer.services.sittings.desk import SittingDesk
from trainer.web.practice.writing import StoredForm
from trainer.web.wiring import Wiring, wiring

_SOLUTIONS = "trainer.sittings.solutions"
D = TypeVar("D", bound=SittingDesk)


class SittingStoredForm(StoredForm):
    """The form in which tasks are kept, and what can be told of one without reading all of it."""

    __slots__ = ()

    def asked(self, content: bytes) -> Sequence[str]:
        """The ids of everything that a stored task wants to be decided or answered."""
        document = json.loads(content)
        return tuple(each["id"] for each in document.get("asks") or document["decisions"])

    def title(self, content: bytes) -> tuple[str, str]:
        """The title and the kind of a stored task."""
        document = json.loads(content)
        return str(document["title"]), str(document["kind"])


def desk_with(wired: Wiring, kind: type[D], solutions: Solutions) -> D:
    """Use cases of sittings over a wiring."""
    return kind(
        storage=wired.storage.scopes(sitting_repositories),
        form=SittingStoredForm(),
        catalogue=tuple(scenarios().misconceptions.values()),
        now=wired.now,
        new_id=wired.new_id,
        solutions=solutions,
    )


def sitting_desk(kind: type[D]) -> D:
    """Use cases of one kind over this application's storage."""
    solutions = current_app.extensions.setdefault(_SOLUTIONS, Solutions())
    if not isinstance(solutions, Solutions):
        raise TypeError(f"not solutions: {solutions!r}")
    return desk_with(wiring(), kind, solutions)
