"""What stands in the items of sittings, in the database."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import bindparam, exists, literal, select
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import Session

from trainer.persistence.people.rows import columns_of, table_of, values_of
from trainer.persistence.tables.sittings import SavedAnswerRow, SittingItemRow
from trainer.services.sittings.records import SavedAnswer


class SqlSavedAnswers:
    """What stands in the items."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def get(self, sitting_id: str, position: int) -> SavedAnswer | None:
        """The stored answers of an item."""
        row = self._session.execute(_ONE, {"sitting": sitting_id, "item": position}).first()
        return None if row is None else SavedAnswer(**row._mapping)  # noqa: SLF001 - the documented way to the names

    def all(self, sitting_id: str) -> Mapping[int, SavedAnswer]:
        """Those of every item that has any."""
        query = select(SavedAnswerRow).where(SavedAnswerRow.sitting_id == sitting_id)
        rows = self._session.scalars(query.execution_options(populate_existing=True))
        return {row.position: SavedAnswer(**values_of(row, SavedAnswer)) for row in rows}

    def put(self, sitting_id: str, answer: SavedAnswer, *, base: int) -> bool:
        """Stores it unless something newer is there, or no such item; False then, and nothing changes.

        One statement decides, so that of two that arrive together none is overlooked.
        """
        statement = PUT[self._session.get_bind().dialect.name]
        values = {name: getattr(answer, name) for name in SavedAnswer.__slots__}
        return self._session.execute(statement, {**values, "sitting_id": sitting_id, "base": base}).first() is not None


# Nothing is asked for as often as a save, so its statements are made once.
_TABLE, _ITEMS = table_of(SavedAnswerRow), table_of(SittingItemRow)
_ONE = select(*columns_of(SavedAnswerRow, SavedAnswer)).where(
    _TABLE.c.sitting_id == bindparam("sitting"), _TABLE.c.position == bindparam("item")
)


def put(insert: Any, *, beside: Any = None) -> Any:
    """The statement that stores an answer unless something newer is there, or no such item.

    Rows come out of the items, so that an item that is not there takes none; with ``beside``, only while
    that gives a row too.
    """
    item = (_ITEMS.c.sitting_id == bindparam("sitting_id")) & (_ITEMS.c.position == bindparam("position"))
    row = select(*(bindparam(column.name, type_=column.type) for column in _TABLE.c)).select_from(_ITEMS).where(item)
    if beside is not None:
        row = row.where(exists(select(beside.c.deadline_at)))
    statement = insert(_TABLE).from_select([column.name for column in _TABLE.c], row)
    new = statement.excluded
    seen = (_TABLE.c.sender == new.sender) | (_TABLE.c.sequence <= bindparam("base"))
    changed = {column.name: new[column.name] for column in _TABLE.c if not column.primary_key}
    statement = statement.on_conflict_do_update(
        index_elements=list(_TABLE.primary_key), set_=changed, where=(_TABLE.c.sequence < new.sequence) & seen
    )
    return statement.returning(literal(1).label("kept"))


PUT = {"sqlite": put(sqlite.insert), "postgresql": put(postgresql.insert)}
"""By the kind of the database."""
