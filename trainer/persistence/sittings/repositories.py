"""Everything about sittings, seen through one session."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy.orm import Session

from trainer.persistence.operation.audit import SqlAuditLog
from trainer.persistence.papers.arrangements import SqlArrangements
from trainer.persistence.papers.moderation import SqlAppeals, SqlModerations
from trainer.persistence.papers.papers import SqlPapers
from trainer.persistence.repositories import SqlTasks
from trainer.persistence.sittings.answers import SqlSavedAnswers
from trainer.persistence.sittings.gradings import SqlGradings
from trainer.persistence.sittings.sittings import SqlSittings


@dataclass(frozen=True, slots=True, kw_only=True)
class SqlSittingRepositories:
    """Answers ``trainer.services.sittings.storage.SittingRepositories``."""

    papers: SqlPapers
    arrangements: SqlArrangements
    moderations: SqlModerations
    sittings: SqlSittings
    answers: SqlSavedAnswers
    gradings: SqlGradings
    appeals: SqlAppeals
    tasks: SqlTasks
    audit: SqlAuditLog


def sitting_repositories(session: Session) -> SqlSittingRepositories:
    """The repositories over a session."""
    return SqlSittingRepositories(
        papers=SqlPapers(session),
        arrangements=SqlArrangements(session),
        moderations=SqlModerations(session),
        sittings=SqlSittings(session),
        answers=SqlSavedAnswers(session),
        gradings=SqlGradings(session),
        appeals=SqlAppeals(session),
        tasks=SqlTasks(session),
        audit=SqlAuditLog(session),
    )
