"""Organisations: made and suspended by operators, set up by their administrators."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from trainer.domain.errors import Problem
from trainer.services.operation.audit import Actor
from trainer.services.people.errors import OrganisationError
from trainer.services.people.here import Here
from trainer.services.people.links import Issued, Links
from trainer.services.people.names import LONGEST_SHORT, checked_email, checked_name, checked_sign_in_name
from trainer.services.people.records import Member, Organisation, Person, Place
from trainer.services.people.words import MemberState, OrganisationKind, Role

PAGE = 50
"""Organisations on one page."""


class OrganisationsDesk(Links):
    """The use cases of organisations as a whole."""

    def make_operator(self, name: str, display_name: str) -> Issued:
        """A new operator of the site, with a link to choose a password. *Raises* AccountError."""
        sign_in_name = checked_email(name) if "@" in name else checked_sign_in_name(name)
        with self.turn() as stored:
            known = stored.people.by_sign_in_name(sign_in_name)
            person = known or self.new_person(stored, sign_in_name, checked_name(display_name, "name"), None)
            stored.people.change(person.id, is_operator=True)
            # As whoever gets other roles: the times of a session depend on what its owner may do.
            stored.sessions.revoke_all(person.id, self.now())
            stored.audit.append(self.event(Actor(kind="command"), "person.became_operator", person.id))
        return self.operator_invitation(person)

    def page(self, after: str = "") -> tuple[Sequence[tuple[Organisation, int]], str | None]:
        """The next organisations by name with the number of their active members, and after which name it goes on."""
        with self.storage.reading() as stored:
            counts: Mapping[str, int] = stored.organisations.member_counts()
            found = stored.organisations.by_name(after, limit=PAGE + 1)
        shown = tuple((each, counts.get(each.id, 0)) for each in found[:PAGE])
        return shown, found[PAGE - 1].name if len(found) > PAGE else None

    def make(
        self,
        operator: Person,
        *,
        name: str,
        kind: OrganisationKind,
        administrator: str,
        email: str,
        staff_need_second_factor: bool = True,
    ) -> tuple[Organisation, Issued]:
        """A new organisation, and the invitation of its first administrator.

        *Raises* AccountError, OrganisationError.
        """
        now = self.now()
        organisation = Organisation(
            id=self.new_id(),
            name=checked_name(name, "name"),
            kind=kind,
            release_needs_second_person=False,
            staff_need_second_factor=staff_need_second_factor,
            created_at=now,
        )
        member = Member(
            id=self.new_id(),
            organisation_id=organisation.id,
            person_id=None,
            display_name=checked_name(administrator, "administrator"),
            email=checked_email(email) if email.strip() else None,
            reference=None,
            site_id=None,
            trade_role_id=None,
            state=MemberState.INVITED,
            created_at=now,
            roles=frozenset({Role.ADMINISTRATOR}),
        )
        actor = Actor(kind="person", id=operator.id)
        with self.turn() as stored:
            if not stored.organisations.add(organisation):
                raise OrganisationError(_taken("name", organisation.name))
            stored.members.add(member)
            event = self.event(actor, "organisation.made", organisation.id, organisation.id, kind=kind.value)
            stored.audit.append(event)
            return organisation, self.invitation(stored, member, actor)

    def suspend(self, operator: Person, organisation_id: str, *, suspended: bool) -> Organisation:
        """Closes an organisation to its members, or opens it again. *Raises* OrganisationError."""
        with self.turn() as stored:
            found = stored.organisations.get(organisation_id)
            if found is None:
                raise OrganisationError(Problem(path="organisation", problem="is not there"))
            changed = replace(found, suspended_at=self.now() if suspended else None)
            stored.organisations.change(changed)
            action = "organisation.suspended" if suspended else "organisation.opened"
            stored.audit.append(self.event(Actor(kind="person", id=operator.id), action, found.id, found.id))
            return changed

    def change(
        self, here: Here, *, name: str, release_needs_second_person: bool, staff_need_second_factor: bool
    ) -> Organisation:
        """Changes what an administrator may change. *Raises* AccountError, OrganisationError."""
        changed = replace(
            here.organisation,
            name=checked_name(name, "name"),
            release_needs_second_person=release_needs_second_person,
            staff_need_second_factor=staff_need_second_factor,
        )
        with self.turn() as stored:
            if not stored.organisations.change(changed):
                raise OrganisationError(_taken("name", changed.name))
            event = self.event(
                here.actor,
                "organisation.changed",
                changed.id,
                changed.id,
                release_needs_second_person=release_needs_second_person,
                staff_need_second_factor=staff_need_second_factor,
            )
            stored.audit.append(event)
            return changed

    def places(self, here: Here) -> tuple[Sequence[Place], Sequence[Place]]:
        """Sites, and what people work as, by name."""
        with self.storage.reading() as stored:
            organisation = stored.organisations
            return organisation.sites(here.organisation_id), organisation.trade_roles(here.organisation_id)

    def add_site(self, here: Here, name: str) -> None:
        """A new site. *Raises* AccountError, OrganisationError."""
        place = self._place(here, name)
        with self.turn() as stored:
            if not stored.organisations.add_site(place):
                raise OrganisationError(_taken("site", place.name))
            stored.audit.append(self.event(here.actor, "site.made", place.id, here.organisation_id))

    def add_trade_role(self, here: Here, name: str) -> None:
        """Something that people work as. *Raises* AccountError, OrganisationError."""
        place = self._place(here, name)
        with self.turn() as stored:
            if not stored.organisations.add_trade_role(place):
                raise OrganisationError(_taken("trade role", place.name))
            stored.audit.append(self.event(here.actor, "trade_role.made", place.id, here.organisation_id))

    def _place(self, here: Here, name: str) -> Place:
        return Place(
            id=self.new_id(), organisation_id=here.organisation_id, name=checked_name(name, "name", LONGEST_SHORT)
        )


def _taken(path: str, value: str) -> Problem:
    return Problem(path=path, value=value, problem="is there already; choose another name")
