"""Entries from paper that are not handed in yet: kept beside the jobs, so that the learner sees nothing of them.

Each change counts the revision up; of two people who enter one paper at once the second is told.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any, Final

from trainer.domain.errors import Problem
from trainer.services.jobs.records import Job, new_job
from trainer.services.jobs.storage import JobRepositories
from trainer.services.operation.words import JobState
from trainer.services.people.here import Here
from trainer.services.scopes import Scopes
from trainer.services.sittings.errors import SittingError
from trainer.services.sittings.records import Answers

KIND: Final = "paper.entry"


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """What was entered so far from one person's paper, by position of the task."""

    paper_id: str
    member_id: str
    variant: int
    revision: int = 0
    saved_at: datetime | None = None
    answers: Mapping[int, Answers] = field(default_factory=dict)


class StaleEntryError(SittingError):
    """Somebody else saved the entry meanwhile."""


@dataclass(frozen=True, kw_only=True)
class Entries:
    """Entries that wait to be handed in."""

    storage: Scopes[JobRepositories]
    now: Callable[[], datetime]

    def of_paper(self, here: Here, paper_id: str, member_ids: Sequence[str]) -> Mapping[str, Entry]:
        """The entries of some people, by their ids."""
        ids = [_id(here.organisation_id, paper_id, each) for each in member_ids]
        with self.storage.reading() as stored:
            found = [_read(each) for each in stored.jobs.of_ids(ids) if each.kind == KIND]
        return {each.member_id: each for each in found}

    def get(self, here: Here, paper_id: str, member_id: str) -> Entry | None:
        """The entry of one person."""
        return self.of_paper(here, paper_id, [member_id]).get(member_id)

    def save(self, here: Here, entry: Entry) -> Entry:
        """Stores what was entered on top of the revision that was seen. *Raises* StaleEntryError."""
        name = _id(here.organisation_id, entry.paper_id, entry.member_id)
        with self.storage.writing() as stored:
            # Of several at once each sees what the one before it stored.
            stored.audit.hold()
            known = stored.jobs.get(here.organisation_id, name)
            if (_read(known).revision if known else 0) != entry.revision:
                problem = "was saved by somebody else meanwhile; load it again and enter what is missing"
                raise StaleEntryError(Problem(path="entry", problem=problem))
            saved = replace(entry, revision=entry.revision + 1, saved_at=self.now())
            stored.jobs.replace(_written(here, name, saved, self.now()))
        return saved

    def drop(self, here: Here, paper_id: str, member_id: str) -> None:
        """Forgets an entry."""
        with self.storage.writing() as stored:
            stored.jobs.drop(here.organisation_id, _id(here.organisation_id, paper_id, member_id))


def _id(organisation_id: str, paper_id: str, member_id: str) -> str:
    text = f"{organisation_id} {paper_id} {member_id}"
    return f"entry.{hashlib.sha256(text.encode()).hexdigest()[:32]}"


def _written(here: Here, name: str, entry: Entry, at: datetime) -> Job:
    answers = {
        str(position): {
            "given": dict(each.given),
            "sure": dict(each.certainty),
            "raw": {key: list(values) for key, values in each.unfinished.items()},
        }
        for position, each in entry.answers.items()
    }
    payload = {
        "paper_id": entry.paper_id,
        "member_id": entry.member_id,
        "variant": entry.variant,
        "revision": entry.revision,
        "answers": answers,
    }
    job = new_job(name, KIND, payload, 0, at, here.organisation_id, here.person_id)
    # Nothing is left for a runner; the end lets it be cleared away in time if nobody hands it in.
    return replace(job, state=JobState.DONE, finished_at=at)


def _read(job: Job) -> Entry:
    kept: Mapping[str, Any] = job.payload
    return Entry(
        paper_id=kept["paper_id"],
        member_id=kept["member_id"],
        variant=int(kept["variant"]),
        revision=int(kept["revision"]),
        saved_at=job.finished_at,
        answers={
            int(position): Answers(
                given=each["given"],
                certainty=each["sure"],
                unfinished={key: tuple(values) for key, values in each["raw"].items()},
            )
            for position, each in kept["answers"].items()
        },
    )
