"""What every page of practice asks, each by one statement that goes to the driver itself."""

from __future__ import annotations

from sqlalchemy import bindparam, exists, select

from trainer.persistence.database import Database
from trainer.persistence.models import AttemptRow, PageRow
from trainer.persistence.people.rows import columns_of, table_of
from trainer.persistence.prepared import Prepared
from trainer.persistence.repositories import LEARNER, WITHOUT_ACCOUNT
from trainer.persistence.works import PAYLOAD, work_of
from trainer.services.practice.work import Work
from trainer.services.storage import LearnerRecord, PageRecord

_PAGE, _ATTEMPT = table_of(PageRow), table_of(AttemptRow)
_OPENED = Prepared(
    select(exists().where(_ATTEMPT.c.page_id == _PAGE.c.id), *columns_of(PageRow, PageRecord)).where(
        _PAGE.c.id == bindparam("page_id")
    )
)
_LEARNER_OF = {False: Prepared(LEARNER), True: Prepared(WITHOUT_ACCOUNT)}
_WORK = Prepared(PAYLOAD)


class SqlLooks:
    """Answers ``trainer.services.storage.Looks``."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def page(self, page_id: str) -> tuple[PageRecord, bool] | None:
        """The page with this id, and whether anything was handed in at it."""
        with self._database.asking() as asked:
            row = asked.first(_OPENED, {"page_id": page_id})
        if row is None:
            return None
        has_attempts, *values = row
        return PageRecord(**dict(zip(PageRecord.__slots__, values, strict=True))), has_attempts

    def learner(self, learner_id: str, *, without_account: bool = False) -> LearnerRecord | None:
        """The learner with this id; on demand only one that belongs to no account."""
        with self._database.asking() as asked:
            row = asked.first(_LEARNER_OF[without_account], {"learner_id": learner_id})
        return None if row is None else LearnerRecord(**dict(zip(LearnerRecord.__slots__, row, strict=True)))

    def work(self, page_id: str) -> Work | None:
        """What was done at a page and not handed in."""
        with self._database.asking() as asked:
            row = asked.first(_WORK, {"page_id": page_id})
        return None if row is None else work_of(row[0])
