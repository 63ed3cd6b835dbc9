"""Sittings put together with what the application has: storage, clock, scenario data."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from typing import TypeVar

from flask import current_app

from trainer.interop.task_reading import asked_from_json
from trainer.persistence.jobs.repositories import job_repositories
from trainer.persistence.sittings.repositories import sitting_repositories
from trainer.persistence.sittings.timely import SqlTimelySaves
from trainer.services.answering import Solutions
from trainer.services.jobs.asking import JobDesk
from trainer.services.scenarios import scenarios
from trainer.services.sittings.desk import SittingDesk
from trainer.services.sittings.known import Known
from trainer.services.sittings.records import Answerable
from trainer.web.practice.writing import StoredForm
from trainer.web.wiring import Wiring, wiring

_DESKS, _READ = "trainer.sittings.desks", "read"
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

    def answerable(self, content: bytes) -> Answerable:
        """What a stored task wants to be decided or answered, without its house."""
        decisions, asks = asked_from_json(json.loads(content))
        return Answerable(decisions=decisions, asks=asks)


def desk_with(wired: Wiring, kind: type[D], solutions: Solutions, known: Known | None = None) -> D:
    """Use cases of sittings over a wiring."""
    return kind(
        storage=wired.storage.scopes(sitting_repositories),
        timely=SqlTimelySaves(wired.storage.database),
        form=SittingStoredForm(),
        catalogue=tuple(scenarios().misconceptions.values()),
        now=wired.now,
        new_id=wired.new_id,
        solutions=solutions,
        known=known or Known(),
    )


def sitting_desk(kind: type[D]) -> D:
    """Use cases of one kind over this application's storage."""
    desks = current_app.extensions.setdefault(_DESKS, {})
    known = desks.get(kind)
    if isinstance(known, kind):
        return known
    solutions, read = desks.setdefault(_READ, (Solutions(), Known()))
    wired = wiring()
    jobs = JobDesk(storage=wired.storage.scopes(job_repositories), now=wired.now, new_id=wired.new_id)
    made = replace(desk_with(wired, kind, solutions, read), is_runner_at_work=jobs.is_runner_at_work)
    desks[kind] = made
    return made
