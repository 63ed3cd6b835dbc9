"""Work at a page that is not handed in: kept beside the jobs, as rosters are that were not taken over yet."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, bindparam, select
from sqlalchemy.orm import Session

from trainer.persistence.models import PageRow
from trainer.persistence.people.rows import table_of
from trainer.persistence.statements import insert_unless_there
from trainer.persistence.tables.operation import JobRow
from trainer.services.operation.words import JobState
from trainer.services.practice.work import NOTHING, Work

PAGE_WORK = "page_work"

_JOB = table_of(JobRow)
PAYLOAD = select(_JOB.c.payload_json).where(_JOB.c.id == bindparam("page_id"), _JOB.c.kind == PAGE_WORK)
"""The text of the work at a page."""


def works_of_learner(learner_id: str) -> ColumnElement[bool]:
    """The rows that hold what a learner did and did not hand in: each has the id of its page."""
    pages = select(PageRow.id).where(PageRow.learner_id == learner_id)
    return (JobRow.kind == PAGE_WORK) & JobRow.id.in_(pages)


class SqlWorks:
    """Work by the id of its page."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def hold(self, page_id: str, at: datetime) -> Work:
        """What was done at a page, for nobody else to change until the end of the transaction."""
        insert_unless_there(self._session, JobRow, _fresh(page_id, at))
        return work_of(self._row(page_id).payload_json)

    def keep(self, page_id: str, work: Work) -> None:
        """Stores work that is held in the place of that before."""
        self._row(page_id).payload_json = _written(work)
        self._session.flush()

    def _row(self, page_id: str) -> JobRow:
        return self._session.scalars(select(JobRow).where(*_at(page_id)).with_for_update()).one()


def _at(page_id: str) -> tuple[ColumnElement[bool], ...]:
    return JobRow.id == page_id, JobRow.kind == PAGE_WORK


def _fresh(page_id: str, at: datetime) -> dict[str, Any]:
    return {
        "id": page_id,
        "kind": PAGE_WORK,
        # Nothing is left for a runner to do; without an end it is not cleared away with the jobs either.
        "state": JobState.DONE.value,
        "payload_json": _written(NOTHING),
        "result_json": "{}",
        "failure": "",
        "progress_done": 0,
        "progress_total": 0,
        "tries": 0,
        "created_at": at,
    }


def _written(work: Work) -> str:
    # The names of all keys are texts: JSON knows no others.
    return json.dumps({**asdict(work), "handed_in": {str(key): lines for key, lines in work.handed_in.items()}})


def work_of(text: str) -> Work:
    """Work as it is stored."""
    kept = json.loads(text)
    return Work(
        hinted=tuple(kept["hinted"]),
        marked=tuple(kept["marked"]),
        answers=kept["answers"],
        certainty=kept["certainty"],
        handed_in={int(number): tuple(lines) for number, lines in kept["handed_in"].items()},
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class SqlWorkRepositories:
    """Answers ``trainer.services.practice.work.WorkRepositories``."""

    works: SqlWorks


def work_repositories(session: Session) -> SqlWorkRepositories:
    """The repositories over a session."""
    return SqlWorkRepositories(works=SqlWorks(session))
