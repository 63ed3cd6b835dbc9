"""Programmes with their objectives and sites, in the database."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from sqlalchemy import delete, insert, select, update
from sqlalchemy.orm import Session

from trainer.persistence.tables.organisations import OrganisationRow
from trainer.persistence.tables.programmes import ProgrammeObjectiveRow, ProgrammeRow, ProgrammeSiteRow
from trainer.services.programmes.records import Programme, read_draw, write_draw
from trainer.services.programmes.words import ProgrammeState

_PLAIN = (
    "id",
    "organisation_id",
    "title",
    "revision",
    "warning_days",
    "pass_percent",
    "critical_errors_fail",
    "items",
    "level",
    "edition",
    "made_by",
    "created_at",
)


class SqlProgrammes:
    """Programmes with their objectives and sites."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, programme: Programme) -> None:
        """Stores a new one."""
        self._session.execute(insert(ProgrammeRow).values(**_values(programme)))
        self._put_parts(programme)

    def get(self, organisation_id: str, programme_id: str) -> Programme | None:
        """The programme with this id in this organisation."""
        rows = ProgrammeRow.organisation_id == organisation_id, ProgrammeRow.id == programme_id
        found = self._with_parts(self._session.scalars(_fresh().where(*rows)).all())
        return found[0] if found else None

    def all(self, organisation_id: str) -> Sequence[Programme]:
        """All of an organisation by title."""
        query = _fresh().where(ProgrammeRow.organisation_id == organisation_id)
        return self._with_parts(self._session.scalars(query.order_by(ProgrammeRow.title, ProgrammeRow.id)).all())

    def change(self, programme: Programme, *, seen: int) -> bool:
        """Stores it as the revision after ``seen``; False when another one is stored by now."""
        theirs = (ProgrammeRow.id == programme.id) & (ProgrammeRow.organisation_id == programme.organisation_id)
        values = {**_values(programme), "revision": seen + 1}
        statement = update(ProgrammeRow).where(theirs, ProgrammeRow.revision == seen).values(**values)
        if self._session.execute(statement.returning(ProgrammeRow.id)).first() is None:
            return False
        self._session.execute(delete(ProgrammeObjectiveRow).where(ProgrammeObjectiveRow.programme_id == programme.id))
        self._session.execute(delete(ProgrammeSiteRow).where(ProgrammeSiteRow.programme_id == programme.id))
        self._put_parts(programme)
        return True

    def running(self) -> Sequence[Programme]:
        """The active programmes of all organisations that are not suspended, for the daily command."""
        query = (
            _fresh()
            .join(OrganisationRow, OrganisationRow.id == ProgrammeRow.organisation_id)
            .where(ProgrammeRow.state == ProgrammeState.ACTIVE.value, OrganisationRow.suspended_at.is_(None))
            .order_by(ProgrammeRow.organisation_id, ProgrammeRow.id)
        )
        return self._with_parts(self._session.scalars(query).all())

    def _put_parts(self, programme: Programme) -> None:
        shared = {"programme_id": programme.id, "organisation_id": programme.organisation_id}
        wanted = [
            {**shared, "trade_role_id": role, "objective_id": name}
            for role, names in programme.objectives.items()
            for name in names
        ]
        if wanted:
            self._session.execute(insert(ProgrammeObjectiveRow), wanted)
        if programme.sites:
            self._session.execute(insert(ProgrammeSiteRow), [{**shared, "site_id": each} for each in programme.sites])

    def _with_parts(self, rows: Sequence[ProgrammeRow]) -> tuple[Programme, ...]:
        ids = [row.id for row in rows]
        if not ids:
            return ()
        aims: dict[str, dict[str, list[str]]] = defaultdict(lambda: defaultdict(list))
        part = ProgrammeObjectiveRow
        query = select(part.programme_id, part.trade_role_id, part.objective_id).where(part.programme_id.in_(ids))
        for programme_id, role, name in self._session.execute(query.order_by(part.objective_id)):
            aims[programme_id][role].append(name)
        sites: dict[str, list[str]] = defaultdict(list)
        place = select(ProgrammeSiteRow.programme_id, ProgrammeSiteRow.site_id)
        for programme_id, site in self._session.execute(place.where(ProgrammeSiteRow.programme_id.in_(ids))):
            sites[programme_id].append(site)
        return tuple(
            Programme(
                **{name: getattr(row, name) for name in _PLAIN},
                state=ProgrammeState(row.state),
                draw=read_draw(row.draw_json, row.cycle_days),
                objectives={role: tuple(names) for role, names in aims[row.id].items()},
                sites=tuple(sorted(sites[row.id])),
            )
            for row in rows
        )


def _values(programme: Programme) -> dict[str, Any]:
    return {
        **{name: getattr(programme, name) for name in _PLAIN},
        "state": programme.state.value,
        "cycle_days": programme.cycle_days,
        "draw_json": write_draw(programme.draw),
    }


def _fresh() -> Any:
    return select(ProgrammeRow).execution_options(populate_existing=True)
