"""What judging a paper again needs in one transaction."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy.orm import Session

from trainer.persistence.papers.repositories import SqlPaperRepositories, paper_repositories
from trainer.persistence.sittings.gradings import SqlGradings
from trainer.persistence.sittings.sittings import SqlSittings


@dataclass(frozen=True, slots=True, kw_only=True)
class SqlRegradingRepositories(SqlPaperRepositories):
    """Answers ``trainer.services.papers.judging_again.RegradingRepositories``."""

    gradings: SqlGradings
    sat: SqlSittings


def regrading_repositories(session: Session) -> SqlRegradingRepositories:
    """The repositories over a session."""
    papers = paper_repositories(session)
    own = {name: getattr(papers, name) for name in SqlPaperRepositories.__slots__}
    return SqlRegradingRepositories(**own, gradings=SqlGradings(session), sat=SqlSittings(session))
