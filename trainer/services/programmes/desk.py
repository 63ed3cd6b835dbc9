"""What every use case of programmes works with."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from trainer.domain.errors import Problem
from trainer.services.operation.audit import Actor, AuditEvent, Fact
from trainer.services.people.here import Here
from trainer.services.people.words import Role
from trainer.services.programmes.dates import day_of
from trainer.services.programmes.errors import ProgrammeError
from trainer.services.programmes.records import Programme
from trainer.services.programmes.storage import ProgrammeRepositories
from trainer.services.scopes import Scopes

BY_COMMAND = Actor(kind="command", id="programmes remind")


@dataclass(frozen=True, kw_only=True)
class ProgrammesBase:
    """The storage, the clock and new ids; all that changes from outside is handed in."""

    storage: Scopes[ProgrammeRepositories]
    now: Callable[[], datetime]
    new_id: Callable[[], str]

    def today(self) -> date:
        """The day, in UTC."""
        return day_of(self.now())

    def event(self, actor: Actor, action: str, subject_id: str, organisation_id: str, **facts: Fact) -> AuditEvent:
        """An event for the audit chain; what it is about is the first word of the action."""
        return AuditEvent(
            at=self.now(),
            actor=actor,
            action=action,
            subject_kind=action.partition(".")[0],
            subject_id=subject_id,
            organisation_id=organisation_id,
            facts=facts,
        )


def manages(here: Here) -> bool:
    """True for whoever looks after the programmes of an organisation."""
    return here.is_any(Role.TRAINING_MANAGER, Role.ADMINISTRATOR)


def known_programme(stored: ProgrammeRepositories, organisation_id: str, programme_id: str) -> Programme:
    """The programme. *Raises* ProgrammeError."""
    found = stored.programmes.get(organisation_id, programme_id)
    if found is None:
        raise ProgrammeError(Problem(path="programme", problem="is not one of this organisation"))
    return found


def places(stored: ProgrammeRepositories, organisation_id: str) -> tuple[Mapping[str, str], Mapping[str, str]]:
    """The names of the organisation's sites and of its roles, by id, in the order of the names."""
    sites = {each.id: each.name for each in stored.organisations.sites(organisation_id)}
    return sites, {each.id: each.name for each in stored.organisations.trade_roles(organisation_id)}
