"""Taking a roster over: kept as a draft, shown before it counts, then all of it or nothing."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import asdict, dataclass, replace

from trainer.domain.errors import Problem
from trainer.services.people.errors import RosterError
from trainer.services.people.groups import sees_all
from trainer.services.people.here import Desk, Here
from trainer.services.people.records import Group, GroupPlace, Member, Place
from trainer.services.people.roster import BadLine, Roster, RosterRow
from trainer.services.people.roster_plan import Known, RosterPlan, Step, changed, plan_of
from trainer.services.people.storage import PeopleRepositories
from trainer.services.people.words import GroupPart, MemberState, Role


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What a roster did."""

    added: int
    changed: int
    placed: int


class RosterDesk(Desk):
    """The use cases of rosters."""

    def keep(self, here: Here, roster: Roster) -> str:
        """Keeps a roster as a draft of its sender; gives the draft's id."""
        said = {
            "rows": [asdict(row) for row in roster.rows],
            "bad": [asdict(bad) for bad in roster.bad],
            "content_hash": roster.content_hash,
        }
        draft_id = self.new_id()
        with self.turn() as stored:
            stored.drafts.add(draft_id, here.organisation_id, here.person_id, json.dumps(said), self.now())
        return draft_id

    def plan(self, here: Here, draft_id: str) -> RosterPlan:
        """What the draft would change now. *Raises* RosterError."""
        with self.storage.reading() as stored:
            roster = self._draft(stored, here, draft_id)
            return plan_of(roster.rows, roster.bad, _known(stored, here))

    def drop(self, here: Here, draft_id: str) -> None:
        """Throws a draft away."""
        with self.turn() as stored:
            stored.drafts.remove(draft_id, here.organisation_id, here.person_id)

    def take(self, here: Here, draft_id: str, fingerprint: str) -> Taken:
        """Does what the plan with this fingerprint shows: all of it, or nothing. *Raises* RosterError."""
        with self.turn() as stored:
            roster = self._draft(stored, here, draft_id)
            event = self.event(here.actor, "roster.taken", draft_id, here.organisation_id, lines=len(roster.rows))
            stored.audit.append(replace(event, facts={**event.facts, "file": roster.content_hash}))
            known = _known(stored, here)
            plan = plan_of(roster.rows, roster.bad, known)
            if plan.bad:
                raise RosterError(Problem(path="roster", problem="has bad lines; nothing was changed"))
            if plan.fingerprint != fingerprint:
                problem = "something changed since you looked: look at the new preview; nothing was changed"
                raise RosterError(Problem(path="roster", problem=problem))
            done = self._carry_out(stored, here, plan, self._with_places(stored, here, plan, known))
            stored.drafts.remove(draft_id, here.organisation_id, here.person_id)
            return done

    def _carry_out(self, stored: PeopleRepositories, here: Here, plan: RosterPlan, known: Known) -> Taken:
        members = {each.id: each for each in known.members}
        ids: dict[str, str] = {}
        added, altered = [], 0
        for line in plan.lines:
            if line.step is Step.ADD:
                member = self._member(here, line.row, known)
                added.append(member)
                ids[line.row.key] = member.id
            elif line.member_id is not None:
                ids[line.row.key] = line.member_id
            if line.step in {Step.CHANGE, Step.TAKE_BACK} and line.member_id is not None:
                altered += self._alter(stored, members[line.member_id], line.row, line.step, known)
        stored.members.add_many(added)
        places = {(known.groups[line.group.casefold()], ids[line.row.key]) for line in plan.lines if line.group}
        stored.groups.put([self._place(here, group_id, member_id) for group_id, member_id in sorted(places)])
        return Taken(added=len(added), changed=altered, placed=len(places))

    def _alter(self, stored: PeopleRepositories, member: Member, row: RosterRow, step: Step, known: Known) -> int:
        after = member if known.adds_only else changed(member, row, known)
        if step is Step.TAKE_BACK:
            state = MemberState.ACTIVE if member.person_id else MemberState.INVITED
            after = replace(after, state=state, ended_at=None)
        if not stored.members.change(after):
            problem = f"line {row.line}: address or reference is another member's; nothing was changed"
            raise RosterError(Problem(path="roster", value=row.name, problem=problem))
        return 1

    def _member(self, here: Here, row: RosterRow, known: Known) -> Member:
        return Member(
            id=self.new_id(),
            organisation_id=here.organisation_id,
            person_id=None,
            display_name=row.name,
            email=row.email or None,
            reference=row.reference or None,
            site_id=known.sites.get(row.site.casefold()),
            trade_role_id=known.work.get(row.works_as.casefold()),
            state=MemberState.INVITED,
            created_at=self.now(),
            roles=frozenset({Role.LEARNER}),
        )

    def _place(self, here: Here, group_id: str, member_id: str, part: GroupPart = GroupPart.LEARNS) -> GroupPlace:
        return GroupPlace(
            group_id=group_id,
            member_id=member_id,
            organisation_id=here.organisation_id,
            part=part,
            joined_at=self.now(),
        )

    def _with_places(self, stored: PeopleRepositories, here: Here, plan: RosterPlan, known: Known) -> Known:
        """Makes the groups, sites and kinds of work that are missing, and knows them from then on."""
        groups = {name.casefold(): self._new_group(stored, here, name) for name in plan.new_groups}
        sites = self._new_places(here, plan.new_sites, stored.organisations.add_site)
        work = self._new_places(here, plan.new_work, stored.organisations.add_trade_role)
        return replace(
            known, groups={**known.groups, **groups}, sites={**known.sites, **sites}, work={**known.work, **work}
        )

    def _new_group(self, stored: PeopleRepositories, here: Here, name: str) -> str:
        group = Group(id=self.new_id(), organisation_id=here.organisation_id, name=name, created_at=self.now())
        stored.groups.add(group)
        stored.groups.put([self._place(here, group.id, here.member_id, GroupPart.TEACHES)])
        stored.audit.append(self.event(here.actor, "group.made", group.id, here.organisation_id))
        return group.id

    def _new_places(self, here: Here, names: tuple[str, ...], add: Callable[[Place], bool]) -> dict[str, str]:
        made = {}
        for name in names:
            place = Place(id=self.new_id(), organisation_id=here.organisation_id, name=name)
            add(place)
            made[name.casefold()] = place.id
        return made

    def _draft(self, stored: PeopleRepositories, here: Here, draft_id: str) -> Roster:
        text = stored.drafts.get(draft_id, here.organisation_id, here.person_id)
        if text is None:
            raise RosterError(Problem(path="roster", problem="was taken over or thrown away already"))
        said = json.loads(text)
        return Roster(
            rows=tuple(RosterRow(**row) for row in said["rows"]),
            bad=tuple(BadLine(**bad) for bad in said["bad"]),
            content_hash=said["content_hash"],
        )


def _known(stored: PeopleRepositories, here: Here) -> Known:
    organisation_id = here.organisation_id
    everything = sees_all(here)
    own = stored.groups.all(organisation_id, taught_by=here.member_id)
    return Known(
        members=stored.members.all_in(organisation_id),
        groups={each.group.name.casefold(): each.group.id for each in stored.groups.all(organisation_id)},
        sites={each.name.casefold(): each.id for each in stored.organisations.sites(organisation_id)},
        work={each.name.casefold(): each.id for each in stored.organisations.trade_roles(organisation_id)},
        places=frozenset(stored.groups.all_places(organisation_id)),
        own_groups=None if everything else frozenset(each.group.id for each in own),
        adds_only=not everything,
    )
