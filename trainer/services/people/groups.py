"""Groups: made by staff, joined by code, taught by whoever is put in charge."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta

from trainer.domain.errors import Problem
from trainer.services.people.errors import GroupError
from trainer.services.people.here import STAFF, Here
from trainer.services.people.links import Issued, Links
from trainer.services.people.names import LONGEST_SHORT, checked_name, clean
from trainer.services.people.records import Group, GroupPlace, GroupSize, JoinCode, Member
from trainer.services.people.secrets import new_join_code
from trainer.services.people.storage import PeopleRepositories
from trainer.services.people.words import GroupPart, MemberState, Role

CODE_GOOD_FOR = timedelta(days=7)
CODE_USES = 100
MOST_INVITED = 100
_MEMBERS_SHOWN = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupView:
    """A group with its members and the code that is good now."""

    group: Group
    members: Sequence[Member]
    parts: Mapping[str, GroupPart]
    code: JoinCode | None


class GroupsDesk(Links):
    """The use cases of groups. Administrators see all of them, other staff those that they teach."""

    def all(self, here: Here) -> Sequence[GroupSize]:
        """The groups that the member may see."""
        with self.storage.reading() as stored:
            return stored.groups.all(here.organisation_id, taught_by=None if sees_all(here) else here.member_id)

    def make(self, here: Here, name: str) -> Group:
        """A new group, taught by whoever makes it. *Raises* AccountError, GroupError."""
        group = Group(
            id=self.new_id(),
            organisation_id=here.organisation_id,
            name=checked_name(name, "name", LONGEST_SHORT),
            created_at=self.now(),
        )
        with self.turn() as stored:
            if not stored.groups.add(group):
                raise GroupError(_taken(group.name))
            stored.groups.put([self._place(group, here.member_id, GroupPart.TEACHES)])
            stored.audit.append(self.event(here.actor, "group.made", group.id, here.organisation_id))
        return group

    def view(self, here: Here, group_id: str) -> GroupView:
        """A group with what staff see of it. *Raises* GroupError."""
        with self.storage.reading() as stored:
            group = self._mine(stored, here, group_id)
            return GroupView(
                group=group,
                members=stored.members.page(here.organisation_id, group_id=group_id, limit=_MEMBERS_SHOWN),
                parts=stored.groups.parts(here.organisation_id, group_id),
                code=stored.groups.code_of(here.organisation_id, group_id, self.now()),
            )

    def rename(self, here: Here, group_id: str, name: str) -> None:
        """Gives a group another name. *Raises* AccountError, GroupError."""
        with self.turn() as stored:
            group = replace(self._mine(stored, here, group_id), name=checked_name(name, "name", LONGEST_SHORT))
            if not stored.groups.change(group):
                raise GroupError(_taken(group.name))
            stored.audit.append(self.event(here.actor, "group.renamed", group_id, here.organisation_id))

    def archive(self, here: Here, group_id: str, *, archived: bool) -> None:
        """Puts a group away, or takes it out again; its code ends. *Raises* GroupError."""
        now = self.now()
        with self.turn() as stored:
            group = self._mine(stored, here, group_id)
            stored.groups.change(replace(group, archived_at=now if archived else None))
            stored.groups.revoke_codes(here.organisation_id, group_id, now)
            action = "group.archived" if archived else "group.reopened"
            stored.audit.append(self.event(here.actor, action, group_id, here.organisation_id))

    def new_code(self, here: Here, group_id: str) -> JoinCode:
        """A new code for a week and a hundred people; the earlier one ends. *Raises* GroupError."""
        now = self.now()
        with self.turn() as stored:
            self._mine(stored, here, group_id)
            code = JoinCode(
                code=new_join_code(),
                organisation_id=here.organisation_id,
                group_id=group_id,
                made_by=here.member_id,
                created_at=now,
                expires_at=now + CODE_GOOD_FOR,
                revoked_at=None,
                uses=0,
                uses_allowed=CODE_USES,
            )
            stored.groups.add_code(code)
            stored.audit.append(self.event(here.actor, "group.code_made", group_id, here.organisation_id))
        return code

    def end_code(self, here: Here, group_id: str) -> None:
        """Ends the code of a group. *Raises* GroupError."""
        with self.turn() as stored:
            self._mine(stored, here, group_id)
            stored.groups.revoke_codes(here.organisation_id, group_id, self.now())
            stored.audit.append(self.event(here.actor, "group.code_ended", group_id, here.organisation_id))

    def invite_all(self, here: Here, group_id: str) -> list[Issued]:
        """Invitations for the learners of a group who have no account yet, at most a hundred at once.

        *Raises* GroupError.
        """
        with self.turn() as stored:
            self._mine(stored, here, group_id)
            waiting = stored.members.page(
                here.organisation_id, state=MemberState.INVITED, group_id=group_id, limit=MOST_INVITED
            )
            learners = [each for each in waiting if not each.roles & STAFF]
            return [self.invitation(stored, member, here.actor) for member in learners]

    def put(self, here: Here, group_id: str, member_id: str, part: GroupPart) -> None:
        """Puts a member into a group. *Raises* GroupError."""
        with self.turn() as stored:
            group = self._mine(stored, here, group_id)
            member = stored.members.get(here.organisation_id, member_id)
            if member is None or member.state is MemberState.ENDED:
                raise GroupError(Problem(path="member", problem="is not in this organisation"))
            if part is GroupPart.TEACHES and not member.roles & _TEACHERS:
                raise GroupError(Problem(path="member", problem="is no lecturer or training manager"))
            stored.groups.put([self._place(group, member_id, part)])
            event = self.event(
                here.actor, "group.member_put", group_id, here.organisation_id, member=member_id, part=part.value
            )
            stored.audit.append(event)

    def put_named(self, here: Here, group_id: str, who: str, part: GroupPart) -> Member:
        """Puts the member in whom a reference, an address or a whole name means. *Raises* GroupError."""
        with self.storage.reading() as stored:
            found = stored.members.named(here.organisation_id, clean(who))
        if len(found) != 1:
            problem = "means several members; give the reference" if found else "means no member; check the spelling"
            raise GroupError(Problem(path="who", value=clean(who)[:LONGEST_SHORT], problem=problem))
        self.put(here, group_id, found[0].id, part)
        return found[0]

    def take_out(self, here: Here, group_id: str, member_id: str) -> None:
        """Takes a member out of a group. *Raises* GroupError."""
        with self.turn() as stored:
            self._mine(stored, here, group_id)
            if stored.groups.take_out(here.organisation_id, group_id, member_id):
                event = self.event(
                    here.actor, "group.member_taken_out", group_id, here.organisation_id, member=member_id
                )
                stored.audit.append(event)

    def _mine(self, stored: PeopleRepositories, here: Here, group_id: str) -> Group:
        """The group, if the member may act on it: what is another's looks as if it were not there."""
        group = stored.groups.get(here.organisation_id, group_id)
        parts = stored.groups.parts(here.organisation_id, group_id) if group else {}
        if group is None or not (sees_all(here) or parts.get(here.member_id) is GroupPart.TEACHES):
            raise GroupError(Problem(path="group", problem="is not one of yours"))
        return group

    def _place(self, group: Group, member_id: str, part: GroupPart) -> GroupPlace:
        return GroupPlace(
            group_id=group.id,
            member_id=member_id,
            organisation_id=group.organisation_id,
            part=part,
            joined_at=self.now(),
        )


_TEACHERS = frozenset({Role.LECTURER, Role.TRAINING_MANAGER, Role.ADMINISTRATOR})


def sees_all(here: Here) -> bool:
    """True for whoever sees all groups of the organisation."""
    return here.is_any(Role.ADMINISTRATOR, Role.TRAINING_MANAGER)


def _taken(name: str) -> Problem:
    return Problem(path="name", value=name, problem="another group has this name; choose another")
