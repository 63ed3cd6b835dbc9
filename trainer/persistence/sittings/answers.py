"""What stands in the items of sittings, in the database."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import literal, select
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import Session

from trainer.persistence.people.rows import fields_of, values_of
from trainer.persistence.tables.sittings import SavedAnswerRow
from trainer.services.sittings.records import SavedAnswer


class SqlSavedAnswers:
    """What stands in the items."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def get(self, sitting_id: str, position: int) -> SavedAnswer | None:
        """The stored answers of an item."""
        row = self._session.get(SavedAnswerRow, (sitting_id, position), populate_existing=True)
        return None if row is None else SavedAnswer(**values_of(row, SavedAnswer))

    def all(self, sitting_id: str) -> Mapping[int, SavedAnswer]:
        """Those of every item that has any."""
        query = select(SavedAnswerRow).where(SavedAnswerRow.sitting_id == sitting_id)
        rows = self._session.scalars(query.execution_options(populate_existing=True))
        return {row.position: SavedAnswer(**values_of(row, SavedAnswer)) for row in rows}

    def put(self, sitting_id: str, answer: SavedAnswer, *, base: int) -> bool:
        """Stores it unless something newer is there; False then, and nothing changes.

        One statement decides, so that of two that arrive together none is overlooked.
        """
        row = SavedAnswerRow
        values = {"sitting_id": sitting_id, **fields_of(answer)}
        insert = postgresql.insert if self._session.get_bind().dialect.name == "postgresql" else sqlite.insert
        statement = insert(row).values(**values)
        seen = (row.sender == statement.excluded.sender) | (row.sequence <= base)
        statement = statement.on_conflict_do_update(
            index_elements=[row.sitting_id, row.position],
            set_={name: values[name] for name in values if name not in {"sitting_id", "position"}},
            where=(row.sequence < statement.excluded.sequence) & seen,
        )
        return self._session.execute(statement.returning(literal(1))).first() is not None
