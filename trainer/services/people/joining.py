"""Accounts that people make themselves: alone, or with the code of a group. What was practised before comes along."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from trainer.domain.errors import Problem
from trainer.services.operation.audit import Actor
from trainer.services.people.errors import GroupError
from trainer.services.people.here import Here
from trainer.services.people.links import Links
from trainer.services.people.names import checked_name, checked_sign_in_name
from trainer.services.people.passwords import check_password
from trainer.services.people.records import Group, GroupPlace, Member, Membership, Organisation, Person, Standing
from trainer.services.people.secrets import as_code
from trainer.services.people.signing_in import SignedIn
from trainer.services.people.storage import PeopleRepositories
from trainer.services.people.words import GroupPart, MemberState, Role
from trainer.services.storage import LearnerRecord


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """What a code opens."""

    code: str
    group: Group
    organisation: Organisation


class Joining(Links):
    """The use cases of making an account and of joining."""

    def door(self, typed: str) -> Door:
        """The group that a code leads to. *Raises* GroupError."""
        with self.storage.reading() as stored:
            return self._door(stored, typed)

    def make_account(
        self, *, name: str, display_name: str, password: str, device: str, code: str | None = None
    ) -> SignedIn:
        """Makes an account and signs it in, in the group of the code if there is one.

        *Raises* AccountError, PasswordError, GroupError.
        """
        sign_in_name = checked_sign_in_name(name)
        shown = checked_name(display_name, "display_name")
        check_password(password, names=(sign_in_name, shown))
        hashed = self.hasher.hash(password)
        with self.turn() as stored:
            person = self.new_person(stored, sign_in_name, shown, hashed)
            if code is not None:
                self._enter(stored, self._door(stored, code), person)
            return self.begin(stored, person, device)

    def join(self, standing: Standing, code: str) -> Door:
        """Puts an account into the group of a code, and lets the session work there. *Raises* GroupError."""
        with self.turn() as stored:
            door = self._door(stored, code)
            member_id = self._enter(stored, door, standing.person)
            stored.sessions.work_in(standing.session.id, member_id)
            return door

    def memberships(self, person: Person) -> Sequence[Membership]:
        """Where the person is a member."""
        with self.storage.reading() as stored:
            return stored.members.of_person(person.id)

    def groups_of(self, here: Here) -> Sequence[tuple[Group, GroupPart]]:
        """The groups of a member."""
        with self.storage.reading() as stored:
            return stored.groups.of_member(here.organisation_id, here.member_id)

    def keep_practice(self, person: Person, learner_id: str) -> Person:
        """Lets what was practised without an account count for this account from now on.

        The record moves to an id that no cookie has ever held, so that a browser that was used
        before does not see it.
        """
        with self.turn() as stored:
            # What belongs to an account is nobody else's to take, whatever a cookie says.
            if stored.learners.without_account(learner_id) is None:
                return person
            changed = self._with_learner(stored, person)
            if changed.learner_id is not None and changed.learner_id != learner_id:
                stored.people.move_practice(learner_id, changed.learner_id)
                stored.audit.append(self.event(Actor(kind="person", id=person.id), "person.kept_practice", person.id))
            return changed

    def learner_of(self, person: Person) -> str:
        """The id under which the practice of an account is recorded, made when it is first needed."""
        if person.learner_id is not None:
            return person.learner_id
        with self.turn() as stored:
            made = self._with_learner(stored, stored.people.get(person.id) or person).learner_id
        assert made is not None, "was just made"  # noqa: S101 - tells mypy
        return made

    def _with_learner(self, stored: PeopleRepositories, person: Person) -> Person:
        known = stored.people.get(person.id) or person
        if known.learner_id is not None:
            return known
        now = self.now()
        learner = LearnerRecord(id=self.new_id(), created_at=now, last_seen_at=now)
        stored.learners.add(learner)
        stored.people.change(known.id, learner_id=learner.id)
        return replace(known, learner_id=learner.id)

    def _door(self, stored: PeopleRepositories, typed: str) -> Door:
        code = stored.groups.code(as_code(typed)[:20])
        now = self.now()
        if code is None or code.revoked_at is not None or code.expires_at <= now or code.uses >= code.uses_allowed:
            raise GroupError(_no_door())
        group = stored.groups.get(code.organisation_id, code.group_id)
        organisation = stored.organisations.get(code.organisation_id)
        if group is None or group.archived_at or organisation is None or organisation.suspended_at:
            raise GroupError(_no_door())
        return Door(code=code.code, group=group, organisation=organisation)

    def _enter(self, stored: PeopleRepositories, door: Door, person: Person) -> str:
        if not stored.groups.use_code(door.code, self.now()):
            raise GroupError(_no_door())
        member = self._member(stored, door, person)
        if member.id not in stored.groups.parts(door.organisation.id, door.group.id):
            stored.groups.put([self._place(door, member)])
        event = self.event(Actor(kind="person", id=person.id), "group.joined", door.group.id, door.organisation.id)
        stored.audit.append(replace(event, facts={"member": member.id}))
        return member.id

    def _place(self, door: Door, member: Member) -> GroupPlace:
        return GroupPlace(
            group_id=door.group.id,
            member_id=member.id,
            organisation_id=door.organisation.id,
            part=GroupPart.LEARNS,
            joined_at=self.now(),
        )

    def _member(self, stored: PeopleRepositories, door: Door, person: Person) -> Member:
        for known in stored.members.of_person(person.id):
            there = stored.members.get(door.organisation.id, known.member_id)
            if there is not None:
                return there
        member = Member(
            id=self.new_id(),
            organisation_id=door.organisation.id,
            person_id=person.id,
            display_name=person.display_name,
            email=None,
            reference=None,
            site_id=None,
            trade_role_id=None,
            state=MemberState.ACTIVE,
            created_at=self.now(),
            roles=frozenset({Role.LEARNER}),
        )
        if not stored.members.add(member):
            problem = "your membership there has ended; ask the organisation to take you back"
            raise GroupError(Problem(path="code", problem=problem))
        return member


def _no_door() -> Problem:
    problem = "opens no group: check every sign of it, or ask for a new one if it is old"
    return Problem(path="code", problem=problem)
