"""What a job needs of the application: its pages, and in whose name it is done."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cached_property

from flask import Flask

from trainer.domain.errors import Problem, TrainerError
from trainer.persistence.people.repositories import people_repositories
from trainer.services.jobs.records import Job
from trainer.services.people.here import Here, without_session
from trainer.services.people.words import MemberState
from trainer.web.wiring import wiring

ROOT = "root"
"""Under this key a payload holds the address at which the site was reached, for addresses inside a file."""


class FileError(TrainerError):
    """A file that cannot be made."""


class InApplication:
    """Work inside the application, which is put together with the first job."""

    def __init__(self, application: Callable[[], Flask]) -> None:
        self._application = application

    @cached_property
    def _app(self) -> Flask:
        return self._application()

    @contextmanager
    def _inside(self, job: Job) -> Iterator[None]:
        with self._app.test_request_context(base_url=job.payload.get(ROOT) or None):
            yield


def here_of_job(job: Job, organisation_id: str | None = None) -> Here:
    """Who asked for a job, as the member stands now in its organisation, or in another of theirs.

    *Raises* FileError for whoever left meanwhile.
    """
    with wiring().storage.scopes(people_repositories).reading() as stored:
        organisation = stored.organisations.get(organisation_id or job.organisation_id or "")
        person = stored.people.get(job.asked_by or "")
        joined = stored.members.of_person(person.id) if person else ()
        ids = [each.member_id for each in joined if organisation and each.organisation_id == organisation.id]
        member = stored.members.get(organisation.id, ids[0]) if organisation and ids else None
    if organisation is None or person is None or member is None or member.state is not MemberState.ACTIVE:
        raise FileError(Problem(path="whoever asked", problem="is no longer a member of the organisation"))
    return without_session(organisation, member, person.learner_id)
