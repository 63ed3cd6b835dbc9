"""Everything about programmes, seen through one session."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy.orm import Session

from trainer.persistence.operation.audit import SqlAuditLog
from trainer.persistence.people.organisations import SqlOrganisations
from trainer.persistence.programmes.assignments import SqlAssignments
from trainer.persistence.programmes.people import SqlFirmPeople
from trainer.persistence.programmes.programmes import SqlProgrammes
from trainer.persistence.programmes.records import SqlRecords
from trainer.persistence.programmes.refreshers import SqlRefreshers
from trainer.persistence.repositories import SqlTasks


@dataclass(frozen=True, slots=True, kw_only=True)
class SqlProgrammeRepositories:
    """Answers ``trainer.services.programmes.storage.ProgrammeRepositories``."""

    programmes: SqlProgrammes
    assignments: SqlAssignments
    people: SqlFirmPeople
    refreshers: SqlRefreshers
    records: SqlRecords
    organisations: SqlOrganisations
    tasks: SqlTasks
    audit: SqlAuditLog


def programme_repositories(session: Session) -> SqlProgrammeRepositories:
    """The repositories over a session."""
    return SqlProgrammeRepositories(
        programmes=SqlProgrammes(session),
        assignments=SqlAssignments(session),
        people=SqlFirmPeople(session),
        refreshers=SqlRefreshers(session),
        records=SqlRecords(session),
        organisations=SqlOrganisations(session),
        tasks=SqlTasks(session),
        audit=SqlAuditLog(session),
    )
