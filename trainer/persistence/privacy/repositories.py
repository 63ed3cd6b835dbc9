"""Everything about privacy, seen through one session."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy.orm import Session

from trainer.persistence.operation.audit import SqlAuditLog
from trainer.persistence.papers.papers import SqlPapers
from trainer.persistence.privacy.copies import SqlCopies
from trainer.persistence.privacy.eraser import SqlEraser
from trainer.persistence.privacy.shelves import SqlShelves
from trainer.persistence.sittings.sittings import SqlSittings


@dataclass(frozen=True, slots=True, kw_only=True)
class SqlPrivacyRepositories:
    """Answers ``trainer.services.privacy.storage.PrivacyRepositories``."""

    copies: SqlCopies
    eraser: SqlEraser
    shelves: SqlShelves
    papers: SqlPapers
    sittings: SqlSittings
    audit: SqlAuditLog


def privacy_repositories(session: Session) -> SqlPrivacyRepositories:
    """The repositories over a session."""
    return SqlPrivacyRepositories(
        copies=SqlCopies(session),
        eraser=SqlEraser(session),
        shelves=SqlShelves(session),
        papers=SqlPapers(session),
        sittings=SqlSittings(session),
        audit=SqlAuditLog(session),
    )
