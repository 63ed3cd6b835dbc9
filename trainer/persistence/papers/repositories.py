"""Everything about papers, seen through one session."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy.orm import Session

from trainer.persistence.operation.audit import SqlAuditLog
from trainer.persistence.papers.arrangements import SqlArrangements
from trainer.persistence.papers.moderation import SqlAppeals, SqlFiguresShelf, SqlModerations
from trainer.persistence.papers.papers import SqlPapers
from trainer.persistence.papers.seeds import SqlSeedMarks
from trainer.persistence.papers.sittings import SqlPaperSittings
from trainer.persistence.people.groups import SqlGroups
from trainer.persistence.people.members import SqlMembers
from trainer.persistence.people.organisations import SqlOrganisations
from trainer.persistence.repositories import SqlTasks


@dataclass(frozen=True, slots=True, kw_only=True)
class SqlPaperRepositories:
    """Answers ``trainer.services.papers.storage.PaperRepositories``."""

    papers: SqlPapers
    arrangements: SqlArrangements
    sittings: SqlPaperSittings
    moderations: SqlModerations
    appeals: SqlAppeals
    figures: SqlFiguresShelf
    seeds: SqlSeedMarks
    groups: SqlGroups
    members: SqlMembers
    organisations: SqlOrganisations
    tasks: SqlTasks
    audit: SqlAuditLog


def paper_repositories(session: Session) -> SqlPaperRepositories:
    """The repositories over a session."""
    return SqlPaperRepositories(
        papers=SqlPapers(session),
        arrangements=SqlArrangements(session),
        sittings=SqlPaperSittings(session),
        moderations=SqlModerations(session),
        appeals=SqlAppeals(session),
        figures=SqlFiguresShelf(session),
        seeds=SqlSeedMarks(session),
        groups=SqlGroups(session),
        members=SqlMembers(session),
        organisations=SqlOrganisations(session),
        tasks=SqlTasks(session),
        audit=SqlAuditLog(session),
    )
