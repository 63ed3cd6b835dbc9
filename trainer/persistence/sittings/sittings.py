"""Sittings with their items and breaks, in the database."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import Row, bindparam, func, literal, select, update
from sqlalchemy.orm import Session

from trainer.persistence.people.rows import columns_of, fields_of, table_of, values_of
from trainer.persistence.statements import insert_unless_there
from trainer.persistence.tables.organisations import GroupMemberRow
from trainer.persistence.tables.papers import PaperGroupRow, PaperRow
from trainer.persistence.tables.sittings import SittingBreakRow, SittingItemRow, SittingRow
from trainer.services.papers.states import MARKED
from trainer.services.papers.words import HandedInBy, PaperState, SittingState
from trainer.services.people.words import GroupPart
from trainer.services.sittings.records import OPEN_STATES, Sitting, SittingItem

_CHANGING = (
    "state",
    "deadline_at",
    "paused_at",
    "paused_s",
    "last_seen_at",
    "handed_in_at",
    "handed_in_by",
)


class SqlSittings:
    """Sittings with their items and breaks."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def hold_paper(self, paper_id: str) -> None:
        """Keeps others from starting the paper until the transaction ends.

        Without taking its key: a hand-in refers to the paper while it waits for the log, which the start wants too.
        """
        self._session.execute(select(PaperRow.id).where(PaperRow.id == paper_id).with_for_update(key_share=True))

    def is_for(self, organisation_id: str, paper_id: str, member_id: str) -> bool:
        """True when the paper is set for a group in which the member learns."""
        query = (
            select(literal(1))
            .select_from(PaperGroupRow)
            .join(GroupMemberRow, GroupMemberRow.group_id == PaperGroupRow.group_id)
            .where(
                PaperGroupRow.organisation_id == organisation_id,
                PaperGroupRow.paper_id == paper_id,
                GroupMemberRow.member_id == member_id,
                GroupMemberRow.part == GroupPart.LEARNS.value,
            )
        )
        return self._session.execute(query.limit(1)).first() is not None

    def variants_used(self, paper_id: str) -> Mapping[int, int]:
        """How many sittings have each variant."""
        query = select(SittingRow.variant, func.count()).where(SittingRow.paper_id == paper_id)
        return {row[0]: row[1] for row in self._session.execute(query.group_by(SittingRow.variant))}

    def add(self, sitting: Sitting, items: Sequence[SittingItem]) -> bool:
        """Stores a sitting with its items; False when this attempt, or its candidate number, is there already."""
        if not insert_unless_there(self._session, SittingRow, fields_of(sitting)):
            return False
        self._session.add_all([SittingItemRow(sitting_id=sitting.id, **fields_of(each)) for each in items])
        self._session.flush()
        return True

    def get(self, organisation_id: str, sitting_id: str, *, hold: bool = False) -> Sitting | None:
        """The sitting; ``hold`` keeps others from changing it until the transaction ends."""
        names = {"organisation": organisation_id, "sitting": sitting_id}
        row = self._session.execute(_HELD if hold else _ONE, names).first()
        return None if row is None else sitting_from(row)

    def state_and_task(
        self, organisation_id: str, member_id: str, sitting_id: str, position: int
    ) -> tuple[SittingState, str] | None:
        """How a member's own sitting stands, and the hash of the task of one of its items; None where there is none."""
        names = {"organisation": organisation_id, "member": member_id, "sitting": sitting_id, "item": position}
        row = self._session.execute(_STATE_AND_TASK, names).first()
        return None if row is None else (SittingState(row[0]), row[1])

    def of_member(self, organisation_id: str, member_id: str) -> Sequence[Sitting]:
        """All sittings of papers of a member, first to last."""
        query = select(SittingRow).where(
            SittingRow.organisation_id == organisation_id,
            SittingRow.member_id == member_id,
            SittingRow.paper_id.is_not(None),
        )
        query = query.order_by(SittingRow.started_at, SittingRow.number).execution_options(populate_existing=True)
        return tuple(sitting_from(row) for row in self._session.scalars(query))

    def change(self, sitting: Sitting) -> None:
        """Stores state and clock of a sitting."""
        fields = fields_of(sitting)
        self._session.execute(_CHANGE, {"sitting": sitting.id, **{name: fields[name] for name in _CHANGING}})

    def begin_break(self, sitting_id: str, at: datetime) -> None:
        """Notes that a rest break began."""
        query = select(func.count()).select_from(SittingBreakRow).where(SittingBreakRow.sitting_id == sitting_id)
        number = self._session.execute(query).scalar_one() + 1
        self._session.add(SittingBreakRow(sitting_id=sitting_id, number=number, began_at=at, ended_at=None))
        self._session.flush()

    def end_break(self, sitting_id: str, at: datetime) -> None:
        """Notes that it ended."""
        running = (SittingBreakRow.sitting_id == sitting_id) & SittingBreakRow.ended_at.is_(None)
        self._session.execute(update(SittingBreakRow).where(running).values(ended_at=at))

    def items(self, sitting_id: str) -> Sequence[SittingItem]:
        """The items in order."""
        query = select(SittingItemRow).where(SittingItemRow.sitting_id == sitting_id)
        query = query.order_by(SittingItemRow.position).execution_options(populate_existing=True)
        return tuple(SittingItem(**values_of(row, SittingItem)) for row in self._session.scalars(query))

    def flag(self, sitting_id: str, position: int, *, flagged: bool) -> bool:
        """Sets or takes away the mark to come back; False where there is no such item."""
        theirs = (SittingItemRow.sitting_id == sitting_id) & (SittingItemRow.position == position)
        statement = update(SittingItemRow).where(theirs).values(flagged=flagged).returning(literal(1))
        return self._session.execute(statement).first() is not None

    def unfinished(self, organisation_id: str, paper_id: str) -> Sequence[Sitting]:
        """Sittings of a paper that are open, or handed in and not marked."""
        row = SittingRow
        theirs = (row.organisation_id == organisation_id) & (row.paper_id == paper_id)
        query = select(row).where(theirs, _is_open() | _is_unmarked()).order_by(row.started_at, row.id)
        return tuple(sitting_from(each) for each in self._session.scalars(query))

    def is_one_unmarked(self, paper_id: str, *, beside: str) -> bool:
        """True when another sitting of the paper is handed in and not marked yet."""
        return self._session.execute(_ONE_UNMARKED, {"paper": paper_id, "beside": beside}).first() is not None

    def due(self, now: datetime, *, limit: int) -> Sequence[Sitting]:
        """Sittings of all organisations that are open after their end, or handed in and not marked.

        The end is the deadline, or without one the closing of the paper.
        """
        row = SittingRow
        over = select(PaperRow.id).where(PaperRow.state.in_([state.value for state in MARKED]))
        past = (PaperRow.state == PaperState.OPEN.value) & (PaperRow.closes_at <= now)
        closed = row.deadline_at.is_(None) & row.paper_id.in_(over.union(select(PaperRow.id).where(past)))
        late = _is_open() & ((row.deadline_at < now) | closed)
        query = select(row).where(late | _is_unmarked()).order_by(row.deadline_at, row.id).limit(limit)
        return tuple(sitting_from(each) for each in self._session.scalars(query))


# Each save and each page of a sitting asks these, so they are made once and give plain values.
_TABLE, _ITEMS = table_of(SittingRow), table_of(SittingItemRow)
_ONE = select(*columns_of(SittingRow, Sitting)).where(
    _TABLE.c.organisation_id == bindparam("organisation"), _TABLE.c.id == bindparam("sitting")
)
_HELD = _ONE.with_for_update()
# By paper, state and marks, which have an index together.
_ONE_UNMARKED = (
    select(literal(1))
    .where(
        _TABLE.c.paper_id == bindparam("paper"),
        _TABLE.c.state == SittingState.HANDED_IN.value,
        _TABLE.c.marks.is_(None),
        _TABLE.c.id != bindparam("beside"),
    )
    .limit(1)
)
_STATE_AND_TASK = (
    select(_TABLE.c.state, _ITEMS.c.content_hash)
    .join_from(_TABLE, _ITEMS, _ITEMS.c.sitting_id == _TABLE.c.id)
    .where(
        _TABLE.c.id == bindparam("sitting"),
        _TABLE.c.organisation_id == bindparam("organisation"),
        _TABLE.c.member_id == bindparam("member"),
        _ITEMS.c.position == bindparam("item"),
    )
)
_CHANGE = (
    update(_TABLE).where(_TABLE.c.id == bindparam("sitting")).values({name: bindparam(name) for name in _CHANGING})
)


def _is_open() -> Any:
    return SittingRow.state.in_([state.value for state in OPEN_STATES])


def _is_unmarked() -> Any:
    return (SittingRow.state == SittingState.HANDED_IN.value) & SittingRow.grading_number.is_(None)


def sitting_from(row: SittingRow | Row[Any]) -> Sitting:
    """A sitting."""
    words: dict[str, Any] = {
        "state": SittingState(row.state),
        "handed_in_by": None if row.handed_in_by is None else HandedInBy(row.handed_in_by),
    }
    return Sitting(**{**values_of(row, Sitting), **words})
