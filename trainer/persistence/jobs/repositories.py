"""Jobs and the audit chain over one session."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy.orm import Session

from trainer.persistence.jobs.jobs import SqlJobs
from trainer.persistence.operation.audit import SqlAuditLog


@dataclass(frozen=True, slots=True, kw_only=True)
class SqlJobRepositories:
    """Answers ``trainer.services.jobs.storage.JobRepositories``."""

    jobs: SqlJobs
    audit: SqlAuditLog


def job_repositories(session: Session) -> SqlJobRepositories:
    """The repositories over a session."""
    return SqlJobRepositories(jobs=SqlJobs(session), audit=SqlAuditLog(session))
