"""Programmes: set up, changed, started, ended; who is in them follows from role and site."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from trainer.domain.errors import Problem, TrainerError
from trainer.domain.generator.reading import LEVELS
from trainer.domain.tasks import TaskKind
from trainer.domain.vocabulary import DEFAULT_EDITION
from trainer.services.objectives import objectives
from trainer.services.operation.audit import Actor
from trainer.services.people.here import Here
from trainer.services.people.names import checked_name
from trainer.services.programmes.dates import first_due
from trainer.services.programmes.desk import ProgrammesBase, known_programme, places
from trainer.services.programmes.errors import ChangedMeanwhileError, ProgrammeError
from trainer.services.programmes.records import AssignedLine, Assignment, Draw, Filter, Programme, Tally
from trainer.services.programmes.storage import Place, ProgrammeRepositories
from trainer.services.programmes.words import AssignmentState, ProgrammeState

PAGE = 50
MOST_MONTHS, MOST_ITEMS, MOST_DAYS = 120, 20, 365
_LONGEST_REASON = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgrammeForm:
    """What is written of a programme on its page."""

    title: str
    cycle_months: int
    warning_days: int
    first_due_days: int
    pass_percent: int
    critical_errors_fail: bool
    items: int
    level: int
    kinds: tuple[TaskKind, ...]
    objectives: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    sites: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ProgrammePage:
    """A programme with one page of its people, one more than fits, so that a next page is known of."""

    programme: Programme
    lines: Sequence[AssignedLine]
    tallies: Sequence[Tally]
    sites: Mapping[str, str]
    work: Mapping[str, str]
    reminded: Mapping[str, datetime]
    overdue_since: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """How many were assigned, taken back and let go."""

    assigned: int
    taken_back: int
    ended: int


class ProgrammesDesk(ProgrammesBase):
    """The use cases of programmes."""

    def all(self, here: Here) -> tuple[Sequence[Programme], Sequence[Tally], Mapping[str, str], Mapping[str, str]]:
        """All programmes, how people stand in them, and the names of sites and roles."""
        with self.storage.reading() as stored:
            programmes = stored.programmes.all(here.organisation_id)
            return (
                programmes,
                stored.assignments.tallies(programmes, self.today()),
                *places(stored, here.organisation_id),
            )

    def get(self, here: Here, programme_id: str) -> Programme:
        """One programme. *Raises* ProgrammeError."""
        with self.storage.reading() as stored:
            return known_programme(stored, here.organisation_id, programme_id)

    def places(self, here: Here) -> tuple[Mapping[str, str], Mapping[str, str]]:
        """The names of sites and of roles, by id."""
        with self.storage.reading() as stored:
            return places(stored, here.organisation_id)

    def page(self, here: Here, programme_id: str, chosen: Filter, after: Place | None) -> ProgrammePage:
        """A programme with a page of its people. *Raises* ProgrammeError."""
        with self.storage.reading() as stored:
            programme = known_programme(stored, here.organisation_id, programme_id)
            lines = stored.assignments.page(programme, self.today(), chosen, after, PAGE + 1)
            sites, work = places(stored, here.organisation_id)
            return ProgrammePage(
                programme=programme,
                lines=lines,
                tallies=stored.assignments.tallies([programme], self.today()),
                sites=sites,
                work=work,
                reminded=stored.assignments.last_reminders([each.assignment.id for each in lines]),
                overdue_since=self.now(),
            )

    def make(self, here: Here, form: ProgrammeForm) -> Programme:
        """A new programme, a draft. *Raises* ProgrammeError."""
        with self.storage.writing() as stored:
            programme = _filled(
                Programme(
                    id=self.new_id(),
                    organisation_id=here.organisation_id,
                    title="",
                    state=ProgrammeState.DRAFT,
                    revision=1,
                    warning_days=0,
                    pass_percent=0,
                    critical_errors_fail=True,
                    items=1,
                    level=1,
                    edition=DEFAULT_EDITION.value,
                    draw=Draw(),
                    made_by=here.member_id,
                    created_at=self.now(),
                ),
                form,
                *places(stored, here.organisation_id),
            )
            stored.programmes.add(programme)
            stored.audit.append(self.event(here.actor, "programme.made", programme.id, here.organisation_id))
        return programme

    def change(self, here: Here, programme_id: str, seen: int, form: ProgrammeForm) -> Programme:
        """Changes a programme; people come in and go as it now says. *Raises* ProgrammeError."""
        with self.storage.writing() as stored:
            known = known_programme(stored, here.organisation_id, programme_id)
            changed = _filled(known, form, *places(stored, here.organisation_id))
            self._store(stored, changed, seen)
            stored.audit.append(
                self.event(here.actor, "programme.changed", programme_id, here.organisation_id, revision=seen + 1)
            )
            if changed.state is ProgrammeState.ACTIVE:
                self._assign(stored, changed, here.actor)
        return changed

    def start(self, here: Here, programme_id: str) -> Moved:
        """Opens a programme and assigns everybody whom it is for. *Raises* ProgrammeError."""
        with self.storage.writing() as stored:
            known = known_programme(stored, here.organisation_id, programme_id)
            if not any(known.objectives.values()):
                raise ProgrammeError(
                    Problem(path="objectives", problem="are none: choose for one role at least what it keeps current")
                )
            started = replace(known, state=ProgrammeState.ACTIVE)
            self._store(stored, started, known.revision)
            stored.audit.append(self.event(here.actor, "programme.started", programme_id, here.organisation_id))
            return self._assign(stored, started, here.actor)

    def end(self, here: Here, programme_id: str) -> None:
        """Ends a programme; records stay. *Raises* ProgrammeError."""
        with self.storage.writing() as stored:
            known = known_programme(stored, here.organisation_id, programme_id)
            self._store(stored, replace(known, state=ProgrammeState.ENDED), known.revision)
            stored.audit.append(self.event(here.actor, "programme.ended", programme_id, here.organisation_id))

    def assign(self, here: Here, programme_id: str) -> Moved:
        """Brings the people of a programme up to date. *Raises* ProgrammeError."""
        with self.storage.writing() as stored:
            known = known_programme(stored, here.organisation_id, programme_id)
            if known.state is not ProgrammeState.ACTIVE:
                raise ProgrammeError(Problem(path="programme", problem="is not running; start it first"))
            return self._assign(stored, known, here.actor)

    def bring_up_to_date(self, programme: Programme, actor: Actor) -> Moved:
        """The same for the daily command."""
        with self.storage.writing() as stored:
            return self._assign(stored, programme, actor)

    def excuse(self, here: Here, assignment_id: str, reason: str) -> Assignment:
        """Excuses somebody, with the reason. *Raises* ProgrammeError."""
        why = _checked_reason(reason)
        return self._set(here, assignment_id, AssignmentState.EXCUSED, why, "assignment.excused")

    def no_longer_excuse(self, here: Here, assignment_id: str) -> Assignment:
        """Takes an excuse back. *Raises* ProgrammeError."""
        return self._set(here, assignment_id, AssignmentState.ACTIVE, "", "assignment.excuse_ended")

    def _set(self, here: Here, assignment_id: str, state: AssignmentState, reason: str, action: str) -> Assignment:
        with self.storage.writing() as stored:
            line = stored.assignments.get(here.organisation_id, assignment_id)
            if line is None or line.assignment.state is AssignmentState.ENDED:
                raise ProgrammeError(Problem(path="assignment", problem="has ended; it can be neither excused nor not"))
            changed = replace(line.assignment, state=state, excused_reason=reason)
            stored.assignments.change(changed)
            stored.audit.append(
                self.event(here.actor, action, assignment_id, here.organisation_id, member=line.member.id)
            )
        return changed

    def _store(self, stored: ProgrammeRepositories, programme: Programme, seen: int) -> None:
        if not stored.programmes.change(programme, seen=seen):
            problem = "was changed by somebody else since you opened the page; look at it as it is now, then change it"
            raise ChangedMeanwhileError(Problem(path="programme", problem=problem))

    def _assign(self, stored: ProgrammeRepositories, programme: Programme, actor: Actor) -> Moved:
        now = self.now()
        due = first_due(now, programme.draw.first_due_days)
        ended = stored.assignments.end_surplus(programme)
        taken_back = stored.assignments.take_back(programme, due)
        missing = stored.assignments.missing(programme)
        stored.assignments.add(
            [
                Assignment(
                    id=self.new_id(),
                    organisation_id=programme.organisation_id,
                    programme_id=programme.id,
                    member_id=member_id,
                    state=AssignmentState.ACTIVE,
                    due_at=due,
                    last_passed_at=None,
                    last_edition=None,
                    excused_reason="",
                    assigned_at=now,
                )
                for member_id in missing
            ]
        )
        moved = Moved(assigned=len(missing), taken_back=taken_back, ended=ended)
        if any((moved.assigned, moved.taken_back, moved.ended)):
            stored.audit.append(
                self.event(
                    actor,
                    "programme.assigned",
                    programme.id,
                    programme.organisation_id,
                    assigned=moved.assigned,
                    taken_back=moved.taken_back,
                    ended=moved.ended,
                )
            )
        return moved


def _filled(programme: Programme, form: ProgrammeForm, sites: Mapping[str, str], work: Mapping[str, str]) -> Programme:
    """The programme as the form says. *Raises* ProgrammeError with every problem."""
    problems = [*_wrong_numbers(form), *_wrong_names(form, sites, work)]
    title = form.title
    try:
        title = checked_name(form.title, "title")
    except TrainerError as error:
        problems += error.problems
    if problems:
        raise ProgrammeError(*problems)
    return replace(
        programme,
        title=title,
        warning_days=form.warning_days,
        pass_percent=form.pass_percent,
        critical_errors_fail=form.critical_errors_fail,
        items=form.items,
        level=form.level,
        edition=DEFAULT_EDITION.value,
        draw=Draw(cycle_months=form.cycle_months, first_due_days=form.first_due_days, kinds=form.kinds),
        objectives={role: names for role, names in form.objectives.items() if names},
        sites=tuple(sorted(set(form.sites))),
    )


def _wrong_numbers(form: ProgrammeForm) -> list[Problem]:
    ranges = {
        "cycle_months": (1, MOST_MONTHS),
        "first_due_days": (0, MOST_DAYS),
        "pass_percent": (1, 100),
        "items": (1, MOST_ITEMS),
        "level": (LEVELS[0], LEVELS[-1]),
        # Longer than the shortest month times the cycle, and the warning would never end.
        "warning_days": (0, min(MOST_DAYS, 28 * max(1, form.cycle_months) - 1)),
    }
    return [
        Problem(path=name, value=str(getattr(form, name)), problem=f"must be from {low} to {high}")
        for name, (low, high) in ranges.items()
        if not low <= getattr(form, name) <= high
    ]


def _wrong_names(form: ProgrammeForm, sites: Mapping[str, str], work: Mapping[str, str]) -> list[Problem]:
    known = objectives()
    problems = [
        Problem(path="sites", problem="is not one of this organisation") for each in form.sites if each not in sites
    ]
    for role, names in form.objectives.items():
        if role not in work:
            problems.append(Problem(path="objectives", problem="are for a role that this organisation does not have"))
        problems += [
            Problem(path="objectives", value=name[:20], problem="is not a learning objective")
            for name in names
            if name not in known
        ]
    if not form.kinds:
        problems.append(Problem(path="kinds", problem="are none: choose one kind of task at least"))
    return problems


def _checked_reason(text: str) -> str:
    reason = " ".join(text.split())
    if not reason or len(reason) > _LONGEST_REASON:
        problem = f"write the reason, in up to {_LONGEST_REASON} characters"
        raise ProgrammeError(Problem(path="reason", value=reason[:40] or None, problem=problem))
    return reason
