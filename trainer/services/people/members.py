"""Members of an organisation: who they are there, which roles they have, when they leave."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from trainer.domain.errors import Problem
from trainer.services.operation.audit import AuditEntry
from trainer.services.people.errors import MemberError
from trainer.services.people.here import STAFF, Here
from trainer.services.people.links import Links
from trainer.services.people.names import LONGEST_SHORT, checked_email, checked_name
from trainer.services.people.records import Group, Member
from trainer.services.people.storage import PeopleRepositories
from trainer.services.people.words import GroupPart, MemberState, Role

PAGE = 50


@dataclass(frozen=True, slots=True, kw_only=True)
class MemberForm:
    """What is written of a member on the page."""

    display_name: str
    email: str = ""
    reference: str = ""
    site_id: str = ""
    trade_role_id: str = ""
    roles: frozenset[Role] = frozenset({Role.LEARNER})


class MembersDesk(Links):
    """The use cases of members."""

    def page(
        self,
        here: Here,
        *,
        search: str = "",
        state: MemberState | None = None,
        group_id: str | None = None,
        after: tuple[str, str] | None = None,
    ) -> Sequence[Member]:
        """One more member than fits on a page, so that a next page is known of."""
        with self.storage.reading() as stored:
            return stored.members.page(
                here.organisation_id, search=search, state=state, group_id=group_id, after=after, limit=PAGE + 1
            )

    def count(self, here: Here) -> dict[MemberState, int]:
        """How many members there are in each state."""
        with self.storage.reading() as stored:
            return {state: stored.members.count(here.organisation_id, state) for state in MemberState}

    def get(self, here: Here, member_id: str) -> tuple[Member, Sequence[tuple[Group, GroupPart]]]:
        """A member with the groups. *Raises* MemberError."""
        with self.storage.reading() as stored:
            member = _known(stored, here, member_id)
            return member, stored.groups.of_member(here.organisation_id, member_id)

    def log(self, here: Here, *, before: int | None, limit: int) -> tuple[Sequence[AuditEntry], Mapping[str, str]]:
        """The newest entries of the organisation's log, with the names of the members in them."""
        with self.storage.reading() as stored:
            entries = stored.audit.latest(here.organisation_id, before=before, limit=limit)
            ids = {each.actor_id for each in entries if each.actor_kind == "member" and each.actor_id}
            ids |= {each.subject_id for each in entries if each.subject_kind == "member"}
            return entries, stored.members.display_names(here.organisation_id, ids)

    def add(self, here: Here, form: MemberForm) -> Member:
        """A new member, who has no account yet. *Raises* AccountError, MemberError."""
        member = self._filled(
            here,
            form,
            Member(
                id=self.new_id(),
                organisation_id=here.organisation_id,
                person_id=None,
                display_name="",
                email=None,
                reference=None,
                site_id=None,
                trade_role_id=None,
                state=MemberState.INVITED,
                created_at=self.now(),
            ),
        )
        with self.turn() as stored:
            _check_places(stored, member)
            if not stored.members.add(member):
                raise MemberError(_taken(member))
            event = self.event(here.actor, "member.added", member.id, here.organisation_id, roles=_listed(member))
            stored.audit.append(event)
        return member

    def change(self, here: Here, member_id: str, form: MemberForm) -> Member:
        """Changes a member. *Raises* AccountError, MemberError."""
        with self.turn() as stored:
            stored.audit.append(self.event(here.actor, "member.changed", member_id, here.organisation_id))
            before = _known(stored, here, member_id)
            _refuse_over_staff(here, before)
            after = self._filled(here, form, before)
            _check_places(stored, after)
            if Role.ADMINISTRATOR in before.roles - after.roles:
                _keep_an_administrator(stored, here, member_id)
            if not stored.members.change(after):
                raise MemberError(_taken(after))
            if before.roles != after.roles:
                event = self.event(
                    here.actor,
                    "member.roles_changed",
                    member_id,
                    here.organisation_id,
                    before=_listed(before),
                    after=_listed(after),
                )
                stored.audit.append(event)
                self._end_sessions(stored, after)
        return after

    def end(self, here: Here, member_id: str) -> Member:
        """Ends a membership: the account goes on, the way into this organisation is closed. *Raises* MemberError."""
        with self.turn() as stored:
            stored.audit.append(self.event(here.actor, "member.ended", member_id, here.organisation_id))
            member = _known(stored, here, member_id)
            _refuse_over_staff(here, member)
            if Role.ADMINISTRATOR in member.roles and member.state is MemberState.ACTIVE:
                _keep_an_administrator(stored, here, member_id)
            ended = replace(member, state=MemberState.ENDED, ended_at=self.now())
            stored.members.change(ended)
        return ended

    def sign_out_everywhere(self, here: Here, member_id: str) -> Member:
        """Ends all sessions of a member, as after the loss of a device. *Raises* MemberError."""
        with self.turn() as stored:
            member = _known(stored, here, member_id)
            _refuse_over_staff(here, member)
            self._end_sessions(stored, member)
            stored.audit.append(self.event(here.actor, "member.signed_out", member_id, here.organisation_id))
        return member

    def take_back(self, here: Here, member_id: str) -> Member:
        """Opens an ended membership again. *Raises* MemberError."""
        with self.turn() as stored:
            member = _known(stored, here, member_id)
            _refuse_over_staff(here, member)
            state = MemberState.ACTIVE if member.person_id else MemberState.INVITED
            changed = replace(member, state=state, ended_at=None)
            stored.members.change(changed)
            stored.audit.append(self.event(here.actor, "member.taken_back", member_id, here.organisation_id))
        return changed

    def _filled(self, here: Here, form: MemberForm, member: Member) -> Member:
        if not here.is_any(Role.ADMINISTRATOR) and form.roles & STAFF:
            raise MemberError(Problem(path="roles", problem="only an administrator gives roles other than learner"))
        if not form.roles:
            raise MemberError(Problem(path="roles", problem="choose at least one role"))
        reference = form.reference.strip()
        return replace(
            member,
            display_name=checked_name(form.display_name, "display_name"),
            email=checked_email(form.email) if form.email.strip() else None,
            reference=checked_name(reference, "reference", LONGEST_SHORT) if reference else None,
            site_id=form.site_id or None,
            trade_role_id=form.trade_role_id or None,
            roles=form.roles,
        )

    def _end_sessions(self, stored: PeopleRepositories, member: Member) -> None:
        """Also where what somebody may do has changed: the times of a session depend on it, so it begins anew."""
        if member.person_id is not None:
            stored.sessions.revoke_all(member.person_id, self.now())


def _known(stored: PeopleRepositories, here: Here, member_id: str) -> Member:
    member = stored.members.get(here.organisation_id, member_id)
    if member is None:
        raise MemberError(Problem(path="member", problem="is not in this organisation"))
    return member


def _refuse_over_staff(here: Here, member: Member) -> None:
    if member.roles & STAFF and not here.is_any(Role.ADMINISTRATOR):
        raise MemberError(Problem(path="member", problem="only an administrator changes members of staff"))


def _check_places(stored: PeopleRepositories, member: Member) -> None:
    for kind, chosen in (("site", member.site_id), ("trade_role", member.trade_role_id)):
        if chosen is not None and not stored.wall.holds(kind, member.organisation_id, chosen):
            raise MemberError(Problem(path=kind, problem="is not in this organisation; choose one of the list"))


def _keep_an_administrator(stored: PeopleRepositories, here: Here, member_id: str) -> None:
    administrators = stored.members.with_role(here.organisation_id, Role.ADMINISTRATOR)
    if all(each.id == member_id for each in administrators):
        problem = "the last administrator must stay; make somebody else one first"
        raise MemberError(Problem(path="roles", problem=problem))


def _taken(member: Member) -> Problem:
    problem = "another member has this mail address or reference; search for them"
    return Problem(path="member", value=member.reference or member.email, problem=problem)


def _listed(member: Member) -> str:
    return " ".join(sorted(member.roles))
