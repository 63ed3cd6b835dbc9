"""Who is in which programme and how it stands, in the database."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

from sqlalchemy import ColumnElement, and_, case, delete, func, or_, select, tuple_, update
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import Session

from trainer.persistence.people.rows import fields_of, values_of
from trainer.persistence.programmes.people import COLUMNS, chosen_people, somebody
from trainer.persistence.statements import insert_unless_there
from trainer.persistence.tables.accounts import PersonRow
from trainer.persistence.tables.organisations import MemberRow
from trainer.persistence.tables.programmes import AssignmentRow, ReminderRow
from trainer.services.people.words import MemberState
from trainer.services.programmes.dates import start_of
from trainer.services.programmes.records import AssignedLine, Assignment, Filter, Programme, Tally
from trainer.services.programmes.words import AssignmentState, ReminderKind, Standing

_AT_ONCE = 500


class SqlAssignments:
    """Who is in which programme."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def get(self, organisation_id: str, assignment_id: str) -> AssignedLine | None:
        """The assignment with its member."""
        query = _lines().where(AssignmentRow.organisation_id == organisation_id, AssignmentRow.id == assignment_id)
        row = self._session.execute(query).first()
        return None if row is None else _line(row)

    def change(self, assignment: Assignment) -> None:
        """Stores the assignment as it is now."""
        theirs = AssignmentRow.organisation_id == assignment.organisation_id, AssignmentRow.id == assignment.id
        self._session.execute(update(AssignmentRow).where(*theirs).values(**fields_of(assignment)))

    def missing(self, programme: Programme) -> Sequence[str]:
        """Ids of members whom the programme is for and who are not assigned."""
        there = select(AssignmentRow.member_id).where(AssignmentRow.programme_id == programme.id)
        query = _whom(programme).where(MemberRow.id.not_in(there)).order_by(MemberRow.sort_name, MemberRow.id)
        return tuple(self._session.scalars(query))

    def add(self, assignments: Sequence[Assignment]) -> None:
        """Stores new ones, leaving those that are there."""
        dialect = postgresql if self._session.get_bind().dialect.name == "postgresql" else sqlite
        if assignments:
            statement = dialect.insert(AssignmentRow).on_conflict_do_nothing()
            self._session.execute(statement, [fields_of(each) for each in assignments])

    def end_surplus(self, programme: Programme) -> int:
        """Ends those whose member the programme is no longer for; gives their number."""
        open_ones = AssignmentRow.programme_id == programme.id, AssignmentRow.state != AssignmentState.ENDED.value
        statement = update(AssignmentRow).where(*open_ones, AssignmentRow.member_id.not_in(_whom(programme)))
        return self._count(statement.values(state=AssignmentState.ENDED.value))

    def take_back(self, programme: Programme, first_due_at: datetime) -> int:
        """Opens ended ones again whose member the programme is for; who never passed gets a new due day."""
        ended = AssignmentRow.programme_id == programme.id, AssignmentRow.state == AssignmentState.ENDED.value
        due = case((AssignmentRow.last_passed_at.is_(None), first_due_at), else_=AssignmentRow.due_at)
        statement = update(AssignmentRow).where(*ended, AssignmentRow.member_id.in_(_whom(programme)))
        return self._count(statement.values(state=AssignmentState.ACTIVE.value, due_at=due, excused_reason=""))

    def page(
        self, programme: Programme, today: date, chosen: Filter, after: tuple[str, str] | None, limit: int
    ) -> Sequence[AssignedLine]:
        """People in a programme by due day; those who are out of it only when asked for."""
        query = chosen_people(_lines(), chosen).where(AssignmentRow.programme_id == programme.id)
        if chosen.standing is None:
            query = query.where(AssignmentRow.state != AssignmentState.ENDED.value)
        else:
            query = query.where(_stands(programme, today, chosen.standing))
        if after is not None:
            at = datetime.fromisoformat(after[0])
            query = query.where(tuple_(AssignmentRow.due_at, AssignmentRow.id) > (at, after[1]))
        rows = self._session.execute(query.order_by(AssignmentRow.due_at, AssignmentRow.id).limit(limit))
        return tuple(_line(row) for row in rows)

    def tallies(self, programmes: Sequence[Programme], today: date) -> Sequence[Tally]:
        """How many stand how, by programme and role, of programmes of one organisation."""
        if not programmes:
            return ()
        row = AssignmentRow
        # Grouped outside: PostgreSQL would not know an expression with parameters again.
        each = (
            select(
                row.programme_id.label("programme_id"),
                MemberRow.trade_role_id.label("trade_role_id"),
                row.state.label("state"),
                row.last_passed_at.is_not(None).label("passed"),
                _standing(programmes, today).label("standing"),
            )
            .join(MemberRow, MemberRow.id == row.member_id)
            .where(row.programme_id.in_([each.id for each in programmes]))
            .subquery()
        )
        query = select(*each.c, func.count()).group_by(*each.c)
        return tuple(
            Tally(
                programme_id=row[0],
                trade_role_id=row[1],
                state=AssignmentState(row[2]),
                ever_passed=bool(row[3]),
                standing=Standing(row[4]),
                people=row[5],
            )
            for row in self._session.execute(query)
        )

    def of_members(self, organisation_id: str, member_ids: Sequence[str]) -> Sequence[Assignment]:
        """All assignments of some members that have not ended."""
        found: list[Assignment] = []
        for start in range(0, len(member_ids), _AT_ONCE):
            query = select(AssignmentRow).where(
                AssignmentRow.member_id.in_(member_ids[start : start + _AT_ONCE]),
                AssignmentRow.state != AssignmentState.ENDED.value,
            )
            # Held to the organisation here: its index would lead through everybody's.
            rows = (row for row in self._session.scalars(query) if row.organisation_id == organisation_id)
            found += (_assignment(row) for row in rows)
        return tuple(found)

    def assessed_under(
        self,
        organisation_id: str,
        edition: str,
        programme_ids: Sequence[str],
        after: tuple[str, str] | None,
        limit: int,
    ) -> Sequence[AssignedLine]:
        """People last assessed under an edition, by name."""
        query = _lines().where(
            AssignmentRow.organisation_id == organisation_id,
            AssignmentRow.programme_id.in_(programme_ids),
            AssignmentRow.last_edition == edition,
            AssignmentRow.state != AssignmentState.ENDED.value,
        )
        if after is not None:
            query = query.where(tuple_(MemberRow.sort_name, AssignmentRow.id) > after)
        rows = self._session.execute(query.order_by(MemberRow.sort_name, AssignmentRow.id).limit(limit))
        return tuple(_line(row) for row in rows)

    def count_under(self, organisation_id: str, programme_ids: Sequence[str]) -> Mapping[str, int]:
        """How many were last assessed under each edition; the empty name is never."""
        query = (
            select(AssignmentRow.last_edition, func.count())
            .where(
                AssignmentRow.organisation_id == organisation_id,
                AssignmentRow.programme_id.in_(programme_ids),
                AssignmentRow.state != AssignmentState.ENDED.value,
            )
            .group_by(AssignmentRow.last_edition)
        )
        return {row[0] or "": row[1] for row in self._session.execute(query)}

    def to_remind(
        self, programme: Programme, today: date, standing: Standing, kind: ReminderKind, limit: int
    ) -> Sequence[AssignedLine]:
        """Those that stand like this and have had no reminder of this kind for their due day."""
        sent = (
            select(ReminderRow.assignment_id)
            .where(ReminderRow.assignment_id == AssignmentRow.id, ReminderRow.kind == kind.value)
            .where(ReminderRow.due_at == AssignmentRow.due_at)
        )
        query = _lines().where(AssignmentRow.programme_id == programme.id, _stands(programme, today, standing))
        query = query.where(MemberRow.state != MemberState.ENDED.value, ~sent.exists())
        # Where the firm knows no address, that of the person's own account.
        query = query.outerjoin(PersonRow, PersonRow.id == MemberRow.person_id).add_columns(
            PersonRow.email.label("own")
        )
        rows = self._session.execute(query.order_by(AssignmentRow.due_at, AssignmentRow.id).limit(limit)).all()
        lines = ((_line(row), row.own) for row in rows)
        return tuple(replace(line, member=replace(line.member, email=line.member.email or own)) for line, own in lines)

    def reminded(self, assignment: Assignment, kind: ReminderKind, at: datetime) -> bool:
        """Notes that a reminder goes out; False when one did."""
        values = {
            "assignment_id": assignment.id,
            "kind": kind.value,
            "due_at": assignment.due_at,
            "sent_at": at,
        }
        return insert_unless_there(self._session, ReminderRow, values)

    def not_reminded(self, assignment: Assignment, kind: ReminderKind) -> None:
        """Takes the note back: the reminder could not be sent."""
        row = ReminderRow
        this = row.assignment_id == assignment.id, row.kind == kind.value, row.due_at == assignment.due_at
        self._session.execute(delete(row).where(*this))

    def last_reminders(self, assignment_ids: Sequence[str]) -> Mapping[str, datetime]:
        """When each was last reminded."""
        query = select(ReminderRow.assignment_id, func.max(ReminderRow.sent_at)).group_by(ReminderRow.assignment_id)
        rows = self._session.execute(query.where(ReminderRow.assignment_id.in_(assignment_ids)))
        return {row[0]: row[1] for row in rows}

    def _count(self, statement: Any) -> int:
        return len(self._session.execute(statement.returning(AssignmentRow.id)).all())


def _lines() -> Any:
    own = [getattr(AssignmentRow, name).label(f"own_{name}") for name in Assignment.__slots__]
    return select(*own, *COLUMNS).join(MemberRow, MemberRow.id == AssignmentRow.member_id)


def _line(row: Any) -> AssignedLine:
    values = {name: getattr(row, f"own_{name}") for name in Assignment.__slots__}
    values["state"] = AssignmentState(values["state"])
    return AssignedLine(assignment=Assignment(**values), member=somebody(row))


def _assignment(row: AssignmentRow) -> Assignment:
    return Assignment(**{**values_of(row, Assignment), "state": AssignmentState(row.state)})


def _whom(programme: Programme) -> Any:
    """The members whom a programme is for."""
    query = select(MemberRow.id).where(
        MemberRow.organisation_id == programme.organisation_id,
        MemberRow.state != MemberState.ENDED.value,
        MemberRow.trade_role_id.in_([role for role, names in programme.objectives.items() if names]),
    )
    return query.where(MemberRow.site_id.in_(programme.sites)) if programme.sites else query


def _horizon(programme: Programme, today: date) -> datetime:
    """What is due before it wants a warning."""
    return start_of(today + timedelta(days=programme.warning_days + 1))


def _stands(programme: Programme, today: date, standing: Standing) -> ColumnElement[bool]:
    """The same as ``trainer.services.programmes.dates.standing``, as a condition that an index serves."""
    row, begins = AssignmentRow, start_of(today)
    is_open = row.state == AssignmentState.ACTIVE.value
    late, soon = row.due_at < begins, row.due_at < _horizon(programme, today)
    return {
        Standing.OVERDUE: and_(is_open, late),
        Standing.WARNING: and_(is_open, ~late, soon),
        Standing.DUE: and_(is_open, ~soon, row.last_passed_at.is_(None)),
        Standing.DONE: and_(is_open, ~soon, row.last_passed_at.is_not(None)),
        Standing.EXCUSED: row.state == AssignmentState.EXCUSED.value,
        Standing.ENDED: row.state == AssignmentState.ENDED.value,
    }[standing]


def _standing(programmes: Sequence[Programme], today: date) -> Any:
    row = AssignmentRow
    soon = or_(*(and_(row.programme_id == each.id, row.due_at < _horizon(each, today)) for each in programmes))
    return case(
        (row.state != AssignmentState.ACTIVE.value, row.state),
        (row.due_at < start_of(today), Standing.OVERDUE.value),
        (soon, Standing.WARNING.value),
        (row.last_passed_at.is_(None), Standing.DUE.value),
        else_=Standing.DONE.value,
    )
