"""Papers, their groups and their variants, in the database."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import case, delete, func, select, update
from sqlalchemy.orm import Session

from trainer.persistence.people.rows import fields_of, values_of
from trainer.persistence.statements import insert_unless_there
from trainer.persistence.tables.organisations import GroupMemberRow, MemberRow, StudyGroupRow
from trainer.persistence.tables.papers import PaperGroupRow, PaperRow, PaperVariantRow
from trainer.persistence.tables.sittings import SittingRow
from trainer.services.papers.records import Candidate, Paper, PaperLine
from trainer.services.papers.variants import VariantItem
from trainer.services.papers.words import PaperMode, PaperState, ReleasePolicy, SittingState
from trainer.services.people.words import GroupPart, MemberState


class SqlPapers:
    """Papers, their groups and their variants."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, paper: Paper) -> None:
        """Stores a new paper."""
        self._session.add(PaperRow(**fields_of(paper)))
        self._session.flush()

    def get(self, organisation_id: str, paper_id: str, *, hold: bool = False) -> Paper | None:
        """The paper with this id in this organisation; ``hold`` keeps others from changing it meanwhile."""
        query = select(PaperRow).where(PaperRow.organisation_id == organisation_id, PaperRow.id == paper_id)
        if hold:
            query = query.with_for_update(key_share=True)
        row = self._session.scalars(query.execution_options(populate_existing=True)).first()
        return None if row is None else paper_from(row)

    def change(self, paper: Paper, *, seen: int) -> bool:
        """Stores the paper as the revision after ``seen``; False when another one is stored by now."""
        theirs = (PaperRow.id == paper.id) & (PaperRow.organisation_id == paper.organisation_id)
        values = {**fields_of(paper), "revision": seen + 1}
        statement = update(PaperRow).where(theirs, PaperRow.revision == seen).values(**values)
        return self._session.execute(statement.returning(PaperRow.id)).first() is not None

    def all(self, organisation_id: str, *, seen_by: str | None = None, limit: int = 200) -> Sequence[PaperLine]:
        """Papers, newest first; or only those that a member made or whose groups the member teaches."""
        query = select(PaperRow).where(PaperRow.organisation_id == organisation_id)
        if seen_by is not None:
            taught = select(PaperGroupRow.paper_id).where(
                PaperGroupRow.group_id.in_(_groups(seen_by, GroupPart.TEACHES))
            )
            query = query.where((PaperRow.made_by == seen_by) | PaperRow.id.in_(taught))
        rows = self._session.scalars(query.order_by(PaperRow.created_at.desc(), PaperRow.id).limit(limit)).all()
        papers = [paper_from(row) for row in rows]
        names = self._group_names([paper.id for paper in papers])
        counts = self._counts([paper.id for paper in papers])
        return tuple(
            PaperLine(
                paper=paper,
                groups=names.get(paper.id, ()),
                sittings=counts.get(paper.id, (0, 0))[0],
                handed_in=counts.get(paper.id, (0, 0))[1],
            )
            for paper in papers
        )

    def of_learner(self, organisation_id: str, member_id: str) -> Sequence[Paper]:
        """Papers that are no drafts and set for a group in which the member learns, newest first."""
        set_for = select(PaperGroupRow.paper_id).where(PaperGroupRow.group_id.in_(_groups(member_id, GroupPart.LEARNS)))
        query = select(PaperRow).where(
            PaperRow.organisation_id == organisation_id,
            PaperRow.state != PaperState.DRAFT.value,
            PaperRow.id.in_(set_for),
        )
        rows = self._session.scalars(query.order_by(PaperRow.created_at.desc(), PaperRow.id))
        return tuple(paper_from(row) for row in rows)

    def may_see(self, paper: Paper, member_id: str) -> bool:
        """True when the member made the paper or teaches a group that sits it."""
        if paper.made_by == member_id:
            return True
        query = select(PaperGroupRow.group_id).where(
            PaperGroupRow.paper_id == paper.id, PaperGroupRow.group_id.in_(_groups(member_id, GroupPart.TEACHES))
        )
        return self._session.execute(query.limit(1)).first() is not None

    def groups_of(self, organisation_id: str, paper_id: str) -> Sequence[str]:
        """The ids of the groups that sit it."""
        query = select(PaperGroupRow.group_id).where(
            PaperGroupRow.organisation_id == organisation_id, PaperGroupRow.paper_id == paper_id
        )
        return tuple(self._session.scalars(query.order_by(PaperGroupRow.group_id)))

    def learners(self, organisation_id: str, paper_id: str) -> Mapping[str, frozenset[str]]:
        """Who learns in each group that sits it, by group; members by id."""
        group, member = PaperGroupRow, GroupMemberRow
        learns = (member.group_id == group.group_id) & (member.part == GroupPart.LEARNS.value)
        query = select(group.group_id, member.member_id).outerjoin(member, learns)
        query = query.where(group.organisation_id == organisation_id, group.paper_id == paper_id)
        found: dict[str, set[str]] = {}
        for group_id, member_id in self._session.execute(query.order_by(group.group_id)):
            # A group without learners has one row without a member.
            found.setdefault(group_id, set()).update([member_id] if member_id else [])
        return {group_id: frozenset(members) for group_id, members in found.items()}

    def set_groups(self, organisation_id: str, paper_id: str, group_ids: Collection[str]) -> None:
        """Lets exactly these groups sit it."""
        theirs = (PaperGroupRow.organisation_id == organisation_id) & (PaperGroupRow.paper_id == paper_id)
        self._session.execute(delete(PaperGroupRow).where(theirs, PaperGroupRow.group_id.not_in(group_ids)))
        for group_id in sorted(group_ids):
            values = {"paper_id": paper_id, "group_id": group_id, "organisation_id": organisation_id}
            insert_unless_there(self._session, PaperGroupRow, values)

    def candidates(self, organisation_id: str, paper_id: str) -> Sequence[Candidate]:
        """Everybody who may sit it, once each, by name."""
        query = (
            select(MemberRow.id, MemberRow.display_name, StudyGroupRow.name)
            .join(GroupMemberRow, GroupMemberRow.member_id == MemberRow.id)
            .join(StudyGroupRow, StudyGroupRow.id == GroupMemberRow.group_id)
            .join(PaperGroupRow, PaperGroupRow.group_id == StudyGroupRow.id)
            .where(
                PaperGroupRow.paper_id == paper_id,
                PaperGroupRow.organisation_id == organisation_id,
                GroupMemberRow.part == GroupPart.LEARNS.value,
                MemberRow.state != MemberState.ENDED.value,
            )
            .order_by(MemberRow.sort_name, MemberRow.id, StudyGroupRow.name)
        )
        found: dict[str, Candidate] = {}
        for member_id, name, group in self._session.execute(query):
            groups = (*(found[member_id].groups if member_id in found else ()), group)
            found[member_id] = Candidate(member_id=member_id, display_name=name, groups=groups)
        return tuple(found.values())

    def variant(self, paper_id: str, number: int) -> Sequence[VariantItem]:
        """The items of a variant in order; empty when it is not drawn yet."""
        query = select(PaperVariantRow).where(PaperVariantRow.paper_id == paper_id, PaperVariantRow.number == number)
        rows = self._session.scalars(query.order_by(PaperVariantRow.position))
        return tuple(VariantItem(**values_of(row, VariantItem)) for row in rows)

    def keep_variant(self, items: Sequence[VariantItem]) -> None:
        """Stores the items of a variant; those that are there already stay."""
        for item in items:
            insert_unless_there(self._session, PaperVariantRow, fields_of(item))

    def variants(self, paper_id: str) -> Sequence[int]:
        """The numbers of the variants that are drawn."""
        query = select(PaperVariantRow.number).where(PaperVariantRow.paper_id == paper_id).distinct()
        return tuple(self._session.scalars(query.order_by(PaperVariantRow.number)))

    def drop_variants(self, paper_id: str) -> None:
        """Forgets all variants."""
        self._session.execute(delete(PaperVariantRow).where(PaperVariantRow.paper_id == paper_id))

    def due(self, now: datetime) -> Sequence[Paper]:
        """Papers of all organisations that the clock opens, closes or releases now."""
        opens = (PaperRow.state == PaperState.LOCKED.value) & (PaperRow.opens_at <= now)
        closes = (PaperRow.state == PaperState.OPEN.value) & (PaperRow.closes_at <= now)
        by_date = PaperRow.release_policy == ReleasePolicy.ON_DATE.value
        released = (PaperRow.state == PaperState.MODERATED.value) & (PaperRow.release_at <= now) & by_date
        return tuple(
            paper_from(row) for row in self._session.scalars(select(PaperRow).where(opens | closes | released))
        )

    def _group_names(self, paper_ids: Sequence[str]) -> Mapping[str, tuple[str, ...]]:
        query = (
            select(PaperGroupRow.paper_id, StudyGroupRow.name)
            .join(StudyGroupRow, StudyGroupRow.id == PaperGroupRow.group_id)
            .where(PaperGroupRow.paper_id.in_(paper_ids))
            .order_by(StudyGroupRow.name)
        )
        names: dict[str, tuple[str, ...]] = {}
        for paper_id, name in self._session.execute(query):
            names[paper_id] = (*names.get(paper_id, ()), name)
        return names

    def _counts(self, paper_ids: Sequence[str]) -> Mapping[str, tuple[int, int]]:
        handed_in = func.sum(case((SittingRow.state == SittingState.HANDED_IN.value, 1), else_=0))
        query = select(SittingRow.paper_id, func.count(), handed_in).where(SittingRow.paper_id.in_(paper_ids))
        rows = self._session.execute(query.group_by(SittingRow.paper_id))
        return {row[0]: (row[1], row[2]) for row in rows}


def paper_from(row: PaperRow) -> Paper:
    """A paper."""
    values = values_of(row, Paper)
    words = {
        "state": PaperState(row.state),
        "mode": PaperMode(row.mode),
        "release_policy": ReleasePolicy(row.release_policy),
    }
    return Paper(**{**values, **words})


def _groups(member_id: str, part: GroupPart) -> Any:
    query = select(GroupMemberRow.group_id).where(GroupMemberRow.member_id == member_id)
    return query.where(GroupMemberRow.part == part.value)
