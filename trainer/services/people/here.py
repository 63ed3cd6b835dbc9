"""Who is acting, and where: what a use case of an organisation needs to know of the person that asks."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from trainer.services.people.words import MemberState, Role

# The program is put together with this module; what is only named here is loaded with the first request.
if TYPE_CHECKING:
    from trainer.services.operation.audit import Actor, AuditEvent, Fact
    from trainer.services.people.passwords import Hasher
    from trainer.services.people.records import Member, Organisation, Standing
    from trainer.services.people.storage import PeopleRepositories, Standings
    from trainer.services.scopes import Scopes

STAFF = frozenset({Role.LECTURER, Role.TRAINING_MANAGER, Role.ADMINISTRATOR})


@dataclass(frozen=True, slots=True, kw_only=True)
class Here:
    """An active member who works in an organisation now."""

    person_id: str
    session_id: str
    display_name: str
    member_id: str
    organisation: Organisation
    roles: frozenset[Role]
    is_operator: bool
    learner_id: str | None

    @property
    def organisation_id(self) -> str:
        """The organisation's id."""
        return self.organisation.id

    @property
    def organisation_name(self) -> str:
        """The organisation's name."""
        return self.organisation.name

    @property
    def actor(self) -> Actor:
        """The member, for the audit chain."""
        from trainer.services.operation.audit import Actor  # noqa: PLC0415 - see above

        return Actor(kind="member", id=self.member_id)

    @property
    def is_staff(self) -> bool:
        """True for whoever is more than a learner."""
        return bool(self.roles & STAFF)

    def is_any(self, *roles: Role) -> bool:
        """True when the member has one of the roles."""
        return bool(self.roles & frozenset(roles))


def here_of(standing: Standing) -> Here | None:
    """Where a session works, or None: no organisation chosen, membership ended, organisation suspended."""
    member, organisation = standing.member, standing.organisation
    if member is None or organisation is None:
        return None
    if member.state is not MemberState.ACTIVE or organisation.suspended_at is not None:
        return None
    return Here(
        person_id=standing.person.id,
        session_id=standing.session.id,
        display_name=member.display_name,
        member_id=member.id,
        organisation=organisation,
        roles=member.roles,
        is_operator=standing.person.is_operator,
        learner_id=standing.person.learner_id,
    )


def without_session(organisation: Organisation, member: Member, learner_id: str | None = None) -> Here:
    """A member as one who acts where nobody is signed in: in a job, in a command, in a person's own copy."""
    return Here(
        person_id=member.person_id or "",
        session_id="",
        display_name=member.display_name,
        member_id=member.id,
        organisation=organisation,
        roles=member.roles,
        is_operator=False,
        learner_id=learner_id,
    )


def needs_code(standing: Standing) -> bool:
    """True while a session has given the password only, though the person has a second factor."""
    return standing.has_second_factor and standing.session.second_factor_at is None


def must_set_up(standing: Standing) -> bool:
    """True for staff and operators who must have a second factor and have none."""
    if standing.has_second_factor:
        return False
    member, organisation = standing.member, standing.organisation
    asked = organisation is not None and organisation.staff_need_second_factor
    is_staff = member is not None and bool(member.roles & STAFF)
    return standing.person.is_operator or (asked and is_staff)


@dataclass(frozen=True, kw_only=True)
class Desk:
    """What every use case of people works with; all that changes from outside is handed in."""

    storage: Scopes[PeopleRepositories]
    standings: Standings
    now: Callable[[], datetime]
    new_id: Callable[[], str]
    hasher: Hasher
    secret_key: str

    @contextmanager
    def turn(self) -> Iterator[PeopleRepositories]:
        """A transaction in which what was read stays as it is until it ends: writers take turns."""
        with self.storage.writing() as stored:
            stored.audit.hold()
            yield stored

    def event(
        self, actor: Actor, action: str, subject_id: str, organisation_id: str | None = None, **facts: Fact
    ) -> AuditEvent:
        """An event for the audit chain; what it is about is the first word of the action."""
        from trainer.services.operation.audit import AuditEvent  # noqa: PLC0415 - see above

        return AuditEvent(
            at=self.now(),
            actor=actor,
            action=action,
            subject_kind=action.partition(".")[0],
            subject_id=subject_id,
            organisation_id=organisation_id,
            facts=facts,
        )
