"""Everything about people, seen through one session."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy.orm import Session

from trainer.persistence.operation.audit import SqlAuditLog
from trainer.persistence.people.accounts import SqlPeople, SqlSessions, SqlTokens
from trainer.persistence.people.drafts import SqlDrafts
from trainer.persistence.people.first_steps import SqlFirstSteps
from trainer.persistence.people.groups import SqlGroups
from trainer.persistence.people.members import SqlMembers
from trainer.persistence.people.organisations import SqlOrganisations, SqlWall
from trainer.persistence.people.second_factors import SqlSecondFactors
from trainer.persistence.repositories import SqlLearners


@dataclass(frozen=True, slots=True, kw_only=True)
class SqlPeopleRepositories:
    """Answers ``trainer.services.people.storage.PeopleRepositories``."""

    people: SqlPeople
    sessions: SqlSessions
    tokens: SqlTokens
    organisations: SqlOrganisations
    members: SqlMembers
    groups: SqlGroups
    second_factors: SqlSecondFactors
    drafts: SqlDrafts
    first_steps: SqlFirstSteps
    learners: SqlLearners
    wall: SqlWall
    audit: SqlAuditLog


def people_repositories(session: Session) -> SqlPeopleRepositories:
    """The repositories over a session."""
    return SqlPeopleRepositories(
        people=SqlPeople(session),
        sessions=SqlSessions(session),
        tokens=SqlTokens(session),
        organisations=SqlOrganisations(session),
        members=SqlMembers(session),
        groups=SqlGroups(session),
        second_factors=SqlSecondFactors(session),
        drafts=SqlDrafts(session),
        first_steps=SqlFirstSteps(session),
        learners=SqlLearners(session),
        wall=SqlWall(session),
        audit=SqlAuditLog(session),
    )
