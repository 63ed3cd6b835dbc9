"""What a roster would change: compared with the organisation before anything is written."""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum

from trainer.services.people.records import Member
from trainer.services.people.roster import BadLine, RosterRow
from trainer.services.people.words import MemberState


class Step(StrEnum):
    """What happens to the person of a line."""

    ADD = "add"
    CHANGE = "change"
    TAKE_BACK = "take_back"
    KEEP = "keep"


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """What one line would do; ``group`` is set where the person joins it."""

    row: RosterRow
    step: Step
    member_id: str | None = None
    changes: tuple[tuple[str, str, str], ...] = ()
    group: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What the organisation has already. Names of groups, sites and work lead to ids, case folded."""

    members: Sequence[Member]
    groups: dict[str, str]
    sites: dict[str, str]
    work: dict[str, str]
    places: frozenset[tuple[str, str]]
    # Groups that may be filled; None is all of them.
    own_groups: frozenset[str] | None = None
    # Who may only add, not change what others wrote.
    adds_only: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RosterPlan:
    """All that would happen."""

    lines: tuple[Line, ...]
    bad: tuple[BadLine, ...]
    new_groups: tuple[str, ...] = ()
    new_sites: tuple[str, ...] = ()
    new_work: tuple[str, ...] = ()
    counts: dict[Step, int] = field(default_factory=dict)

    @property
    def fingerprint(self) -> str:
        """The same exactly as long as the same would happen."""
        said = [[each.row.line, each.step.value, each.member_id, each.changes, each.group] for each in self.lines]
        text = json.dumps([said, self.new_groups, self.new_sites, self.new_work], default=list)
        return hashlib.sha256(text.encode()).hexdigest()


class _Finder:
    """Members by what a line may name them with."""

    def __init__(self, members: Sequence[Member]) -> None:
        self.by_reference = {each.reference.casefold(): each for each in members if each.reference}
        self.by_email = {each.email: each for each in members if each.email}
        self.by_name: dict[str, list[Member]] = defaultdict(list)
        for each in members:
            self.by_name[each.display_name.casefold()].append(each)

    def find(self, row: RosterRow) -> Member | str | None:
        """The member of a line, None for somebody new, or what is wrong."""
        referred = self.by_reference.get(row.reference.casefold()) if row.reference else None
        addressed = self.by_email.get(row.email) if row.email else None
        if referred and addressed and referred.id != addressed.id:
            return "the reference is one member's, the address another's; correct one of them"
        if referred is None and addressed is not None and row.reference and addressed.reference:
            return f"the address belongs to the member with the reference {addressed.reference}"
        if referred or addressed:
            return referred or addressed
        if row.reference or row.email:
            return None
        same = self.by_name.get(row.name.casefold(), [])
        if len(same) > 1:
            return "several members have this name; give the reference or the address"
        return same[0] if same else None


def plan_of(rows: Sequence[RosterRow], bad: Sequence[BadLine], known: Known) -> RosterPlan:
    """Compares the lines with what is there."""
    finder = _Finder(known.members)
    lines: list[Line] = []
    problems = list(bad)
    done: set[str] = set()
    for row in rows:
        found = finder.find(row)
        refused = found if isinstance(found, str) else _group_refused(row, known)
        if refused:
            problems.append(BadLine(line=row.line, problem=refused, value=row.name))
            continue
        member = found if isinstance(found, Member) else None
        again = row.key in done or (member is not None and member.id in done)
        lines.append(_line(row, member, known, again=again))
        done |= {row.key} | ({member.id} if member else set())
    return RosterPlan(
        lines=tuple(lines),
        bad=tuple(sorted(problems, key=lambda each: each.line)),
        new_groups=_new((each.row.group for each in lines), known.groups),
        new_sites=_new((each.row.site for each in lines), known.sites),
        new_work=_new((each.row.works_as for each in lines), known.work),
        counts={step: sum(each.step is step for each in lines) for step in Step},
    )


def _group_refused(row: RosterRow, known: Known) -> str:
    group_id = known.groups.get(row.group.casefold())
    if known.own_groups is None or not row.group or group_id is None or group_id in known.own_groups:
        return ""
    return f"the group {row.group} is not one of yours; leave it out or ask for it"


def _line(row: RosterRow, member: Member | None, known: Known, *, again: bool) -> Line:
    group_id = known.groups.get(row.group.casefold())
    is_there = member is not None and group_id is not None and (group_id, member.id) in known.places
    group = "" if is_there else row.group
    if member is None:
        return Line(row=row, step=Step.KEEP if again else Step.ADD, group=group)
    changes = () if again or known.adds_only else _changes(row, member, known)
    step = Step.CHANGE if changes else Step.KEEP
    if member.state is MemberState.ENDED and not again:
        step = Step.TAKE_BACK
    return Line(row=row, step=step, member_id=member.id, changes=changes, group=group)


def _changes(row: RosterRow, member: Member, known: Known) -> tuple[tuple[str, str, str], ...]:
    """What the line says otherwise: column, before, after. An empty cell says nothing."""
    sites = {place: name for name, place in known.sites.items()}
    work = {place: name for name, place in known.work.items()}
    told = (
        ("name", member.display_name, row.name),
        ("email", member.email or "", row.email),
        ("reference", member.reference or "", row.reference),
        ("site", sites.get(member.site_id or "", ""), row.site),
        ("works as", work.get(member.trade_role_id or "", ""), row.works_as),
    )
    folded = {"site", "works as"}
    return tuple(
        (column, before, after)
        for column, before, after in told
        if after and (before.casefold() != after.casefold() if column in folded else before != after)
    )


def _new(names: Iterable[str], known: dict[str, str]) -> tuple[str, ...]:
    missing: dict[str, str] = {}
    for name in names:
        if name and name.casefold() not in known:
            missing.setdefault(name.casefold(), name)
    return tuple(missing.values())


def changed(member: Member, row: RosterRow, known: Known) -> Member:
    """The member as the line says."""
    return replace(
        member,
        display_name=row.name,
        email=row.email or member.email,
        reference=row.reference or member.reference,
        site_id=known.sites.get(row.site.casefold(), member.site_id),
        trade_role_id=known.work.get(row.works_as.casefold(), member.trade_role_id),
    )
