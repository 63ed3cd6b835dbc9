"""Storage as the services ask for it, answered by the database."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import bindparam, exists, insert, select
from sqlalchemy.orm import Session

from trainer.persistence.attempts import SqlAttempts
from trainer.persistence.models import LearnerRow, PageRow, TaskRow
from trainer.persistence.people.rows import columns_of, fields_of, table_of
from trainer.persistence.regradings import SqlRegradings
from trainer.persistence.statements import insert_unless_there
from trainer.persistence.storage import SqlStorage
from trainer.persistence.tables.accounts import PersonRow
from trainer.services.storage import LearnerRecord, PageRecord, StoredTask

__all__ = ["SqlLearners", "SqlPages", "SqlRepositories", "SqlStorage", "SqlTasks", "repositories"]

# Below the number of values that SQLite takes in one statement.
_AT_ONCE = 500

# Made once, and give plain values.
_TASK = select(*columns_of(TaskRow, StoredTask)).where(table_of(TaskRow).c.content_hash == bindparam("content_hash"))
_PAGE = select(*columns_of(PageRow, PageRecord)).where(table_of(PageRow).c.id == bindparam("page_id"))
_NEW_PAGE = insert(table_of(PageRow))
LEARNER = select(*columns_of(LearnerRow, LearnerRecord)).where(table_of(LearnerRow).c.id == bindparam("learner_id"))
WITHOUT_ACCOUNT = LEARNER.where(~exists().where(table_of(PersonRow).c.learner_id == table_of(LearnerRow).c.id))


class SqlTasks:
    """Tasks by the hash of their content."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def keep(self, task: StoredTask) -> None:
        """Stores the task unless one with the same content is there already."""
        values = {name: getattr(task, name) for name in StoredTask.__slots__}
        insert_unless_there(self._session, TaskRow, values)

    def get(self, content_hash: str) -> StoredTask | None:
        """The task with this hash."""
        row = self._session.execute(_TASK, {"content_hash": content_hash}).first()
        return None if row is None else StoredTask(**row._asdict())

    def contents(self, content_hashes: Collection[str]) -> Mapping[str, bytes]:
        """The contents of those that are there, by hash."""
        listed, found = sorted(content_hashes), dict[str, bytes]()
        for start in range(0, len(listed), _AT_ONCE):
            part = TaskRow.content_hash.in_(listed[start : start + _AT_ONCE])
            rows = self._session.execute(select(TaskRow.content_hash, TaskRow.content).where(part))
            found.update((row[0], row[1]) for row in rows)
        return found


class SqlPages:
    """Pages by their random id."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, page: PageRecord) -> None:
        """Stores a new page."""
        self._session.execute(_NEW_PAGE, fields_of(page))

    def get(self, page_id: str) -> PageRecord | None:
        """The page with this id."""
        row = self._session.execute(_PAGE, {"page_id": page_id}).first()
        return None if row is None else PageRecord(**row._asdict())


class SqlLearners:
    """Learners by their random id."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, learner: LearnerRecord) -> None:
        """Stores a new learner."""
        self._session.add(LearnerRow(id=learner.id, created_at=learner.created_at, last_seen_at=learner.last_seen_at))
        self._session.flush()

    def without_account(self, learner_id: str) -> LearnerRecord | None:
        """The learner with this id, unless an account has it."""
        row = self._session.execute(WITHOUT_ACCOUNT, {"learner_id": learner_id}).first()
        return None if row is None else LearnerRecord(**row._asdict())

    def seen(self, learner_id: str, at: datetime) -> None:
        """Notes when the learner was last here."""
        row = self._session.get(LearnerRow, learner_id)
        if row is not None:
            row.last_seen_at = at


@dataclass(frozen=True, slots=True, kw_only=True)
class SqlRepositories:
    """Everything stored, seen through one session."""

    tasks: SqlTasks
    pages: SqlPages
    learners: SqlLearners
    attempts: SqlAttempts
    regradings: SqlRegradings


def repositories(session: Session) -> SqlRepositories:
    """The repositories over a session."""
    return SqlRepositories(
        tasks=SqlTasks(session),
        pages=SqlPages(session),
        learners=SqlLearners(session),
        attempts=SqlAttempts(session),
        regradings=SqlRegradings(session),
    )
