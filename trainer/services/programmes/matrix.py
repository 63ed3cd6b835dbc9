"""The firm's people against its objectives: who is current at what, and where the gaps are."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from trainer.services.people.here import Here
from trainer.services.programmes.dates import currency, neediest
from trainer.services.programmes.desk import ProgrammesBase, places
from trainer.services.programmes.records import Assignment, Filter, Programme, Somebody, Tally
from trainer.services.programmes.storage import Place, ProgrammeRepositories
from trainer.services.programmes.words import Currency, ProgrammeState, Standing

PAGE = 50
_AT_ONCE = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One person with the state at each objective of the columns."""

    member: Somebody
    cells: Mapping[str, Currency]

    def count(self, currency: Currency) -> int:
        """At how many objectives the person stands so."""
        return sum(each is currency for each in self.cells.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class Matrix:
    """A page of people, one more than fits where there are more, and the objectives of the columns."""

    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    sites: Mapping[str, str]
    work: Mapping[str, str]
    on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """Of one programme and role: how many people stand how, and which objectives that concerns."""

    programme: Programme
    trade_role_id: str
    people: int
    counts: Mapping[Currency, int]
    objectives: tuple[str, ...]
    overdue_never_assessed: int

    @property
    def open(self) -> int:
        """How many are overdue or not yet assessed."""
        return self.counts[Currency.OVERDUE] + self.counts[Currency.NEVER]


class MatrixDesk(ProgrammesBase):
    """The matrix and the gaps of a firm."""

    def page(self, here: Here, chosen: Filter, after: Place | None, limit: int = PAGE + 1) -> Matrix:
        """A page of the matrix; the number of queries does not depend on the number of people."""
        with self.storage.reading() as stored:
            programmes = _running(stored, here)
            sites, work = places(stored, here.organisation_id)
            members = stored.people.page(here.organisation_id, _wanted(chosen, programmes), after, limit)
            rows = self._rows(stored, here, programmes, members)
        return Matrix(
            columns=columns_of(programmes, chosen.trade_role_id), rows=rows, sites=sites, work=work, on=self.today()
        )

    def people(self, here: Here, chosen: Filter) -> int:
        """How many rows the whole matrix has."""
        with self.storage.reading() as stored:
            wanted = _wanted(chosen, _running(stored, here))
            return stored.people.count(here.organisation_id, wanted)

    def whole(self, here: Here, chosen: Filter) -> tuple[Matrix, Iterator[Row]]:
        """The columns, and all rows as a stream, a few hundred people at a time."""
        first = self.page(here, chosen, None, limit=1)
        return first, self._all(here, chosen)

    def _all(self, here: Here, chosen: Filter) -> Iterator[Row]:
        after: Place | None = None
        while rows := self.page(here, chosen, after, limit=_AT_ONCE).rows:
            yield from rows
            after = (rows[-1].member.sort_name, rows[-1].member.id)

    def gaps(self, here: Here) -> tuple[Sequence[Gap], Mapping[str, str]]:
        """For every running programme and role how people stand, the widest gap first, and the names of roles."""
        with self.storage.reading() as stored:
            programmes = _running(stored, here)
            tallies = stored.assignments.tallies(programmes, self.today())
            work = places(stored, here.organisation_id)[1]
        found = [
            _gap(programme, role, tallies) for programme in programmes for role in programme.objectives if role in work
        ]
        return sorted((each for each in found if each.people), key=lambda each: -each.open), work

    def _rows(
        self, stored: ProgrammeRepositories, here: Here, programmes: Sequence[Programme], members: Sequence[Somebody]
    ) -> tuple[Row, ...]:
        by_id = {each.id: each for each in programmes}
        theirs: dict[str, list[Assignment]] = {}
        for each in stored.assignments.of_members(here.organisation_id, [member.id for member in members]):
            if each.programme_id in by_id:
                theirs.setdefault(each.member_id, []).append(each)
        today = self.today()
        return tuple(
            Row(member=member, cells=cells_of(member, theirs.get(member.id, ()), by_id, today)) for member in members
        )


def _wanted(chosen: Filter, programmes: Sequence[Programme]) -> Filter:
    """The same people, without those of whose role nothing is wanted."""
    roles = {role for each in programmes for role, names in each.objectives.items() if names}
    return chosen if chosen.trade_role_id else replace(chosen, roles=tuple(sorted(roles)))


def columns_of(programmes: Sequence[Programme], trade_role_id: str = "") -> tuple[str, ...]:
    """The objectives that running programmes want, of all roles or of one."""
    wanted = {
        name
        for each in programmes
        for role, names in each.objectives.items()
        if trade_role_id in ("", role)
        for name in names
    }
    return tuple(sorted(wanted))


def cells_of(
    member: Somebody, assignments: Sequence[Assignment], programmes: Mapping[str, Programme], today: date
) -> dict[str, Currency]:
    """How current somebody is at each objective that is wanted; several programmes: what is neediest."""
    found: dict[str, list[Currency]] = {}
    for each in assignments:
        programme = programmes[each.programme_id]
        stands = each.currency(programme.warning_days, today)
        for name in programme.objectives.get(member.trade_role_id or "", ()):
            found.setdefault(name, []).append(stands)
    return {name: neediest(states) for name, states in found.items()}


def _gap(programme: Programme, role: str, tallies: Sequence[Tally]) -> Gap:
    counts = dict.fromkeys(Currency, 0)
    never = 0
    for each in tallies:
        if each.programme_id == programme.id and each.trade_role_id == role:
            counts[currency(each.standing)] += each.people
            never += each.people if each.standing is Standing.OVERDUE and not each.ever_passed else 0
    counts.pop(Currency.NOT_REQUIRED)
    return Gap(
        programme=programme,
        trade_role_id=role,
        people=sum(counts.values()),
        counts=counts,
        objectives=programme.objectives[role],
        overdue_never_assessed=never,
    )


def _running(stored: ProgrammeRepositories, here: Here) -> list[Programme]:
    return [each for each in stored.programmes.all(here.organisation_id) if each.state is ProgrammeState.ACTIVE]
