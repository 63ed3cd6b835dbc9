"""A refresher: drawn for one person, sat like any paper, and by the programme's standard turned into a record."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from trainer.domain.errors import Problem
from trainer.domain.tasks import Task
from trainer.services.answering import weights_of
from trainer.services.papers.words import SittingState
from trainer.services.people.here import Here
from trainer.services.practice.tasks import TaskForm
from trainer.services.programmes.changes import touched_since
from trainer.services.programmes.codes import new_code
from trainer.services.programmes.dates import valid_until
from trainer.services.programmes.desk import BY_COMMAND, ProgrammesBase, known_programme
from trainer.services.programmes.drawing import Plan, TaskMaker, drawn, planned, seed_of
from trainer.services.programmes.errors import RefresherError
from trainer.services.programmes.records import AssignedLine, Programme, TrainingRecord
from trainer.services.programmes.storage import ProgrammeRepositories
from trainer.services.programmes.words import AssignmentState, NameVisibility, ProgrammeState, Standing
from trainer.services.sittings.records import Sitting, SittingItem
from trainer.services.storage import StoredTask

_AT_A_TIME = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class MyRefresher:
    """A refresher of one's own: how it stands, what it would ask, the newest sitting."""

    line: AssignedLine
    programme: Programme
    standing: Standing
    sitting: Sitting | None
    changed: tuple[str, ...]

    @property
    def running(self) -> Sitting | None:
        """The sitting that goes on."""
        return self.sitting if self.sitting is not None and self.sitting.is_open else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Passing:
    """What became of a sitting: passed or not by which standard, and the record if there is one."""

    programme: Programme
    sitting: Sitting
    is_passed: bool
    record: TrainingRecord | None


def passes(programme: Programme, marks: int, marks_available: int, *, safe_to_energise: bool) -> bool:
    """True when marks reach the percentage exactly or more, and no critical error stands in the way."""
    if marks_available <= 0 or (programme.critical_errors_fail and not safe_to_energise):
        return False
    return 100 * marks >= programme.pass_percent * marks_available


@dataclass(frozen=True, kw_only=True)
class Refreshers(ProgrammesBase):
    """The use cases of whoever takes a refresher."""

    make: TaskMaker
    form: TaskForm
    code: Callable[[], str] = new_code

    def mine(self, here: Here) -> Sequence[MyRefresher]:
        """One's own refreshers in running programmes, whatever wants doing first."""
        today = self.today()
        with self.storage.reading() as stored:
            member = stored.people.get(here.organisation_id, here.member_id)
            programmes = {each.id: each for each in stored.programmes.all(here.organisation_id)}
            found = []
            for each in stored.assignments.of_members(here.organisation_id, [here.member_id]):
                programme = programmes[each.programme_id]
                if member is None or programme.state is not ProgrammeState.ACTIVE:
                    continue
                found.append(
                    MyRefresher(
                        line=AssignedLine(assignment=each, member=member),
                        programme=programme,
                        standing=each.standing(programme.warning_days, today),
                        sitting=stored.refreshers.latest(here.organisation_id, each.id),
                        changed=tuple(sorted(touched_since(each.last_edition, programme.edition))),
                    )
                )
        return sorted(found, key=lambda each: each.line.assignment.due_at)

    def begin(self, here: Here, assignment_id: str) -> Sitting:
        """The sitting that goes on, or a new one drawn for this person now. *Raises* RefresherError."""
        with self.storage.reading() as stored:
            line, programme = self._own(stored, here, assignment_id)
            latest = stored.refreshers.latest(here.organisation_id, assignment_id)
            member = stored.people.get(here.organisation_id, here.member_id)
            shares = stored.refreshers.shares(here.organisation_id, member or line.member)
        if latest is not None and latest.is_open:
            return latest
        number = 1 if latest is None else latest.number + 1
        required = programme.objectives.get(line.member.trade_role_id or "", ())
        seed = seed_of(assignment_id, number)
        changed = touched_since(line.assignment.last_edition, programme.edition)
        plan = planned(required, shares, changed, programme.draw.kinds, programme.items, seed)
        # Before the transaction: houses take a while to draw.
        tasks = drawn(plan, self.make, programme.level, frozenset(required), seed)
        return self._started(here, line, number, seed, plan, tasks)

    def _own(self, stored: ProgrammeRepositories, here: Here, assignment_id: str) -> tuple[AssignedLine, Programme]:
        line = stored.assignments.get(here.organisation_id, assignment_id)
        if line is None or line.member.id != here.member_id:
            raise RefresherError(Problem(path="refresher", problem="is not one of yours"))
        programme = known_programme(stored, here.organisation_id, line.assignment.programme_id)
        if programme.state is not ProgrammeState.ACTIVE or line.assignment.state is AssignmentState.ENDED:
            raise RefresherError(Problem(path="refresher", problem="has ended; there is nothing to sit any more"))
        return line, programme

    def _started(
        self, here: Here, line: AssignedLine, number: int, seed: int, plan: Sequence[Plan], tasks: Sequence[Task]
    ) -> Sitting:
        now = self.now()
        kept = [self._kept(task, now) for task in tasks]
        sitting = Sitting(
            id=self.new_id(),
            organisation_id=here.organisation_id,
            member_id=here.member_id,
            paper_id=None,
            assignment_id=line.assignment.id,
            number=number,
            candidate_number=None,
            variant=1,
            seed=seed,
            state=SittingState.RUNNING,
            started_at=now,
            deadline_at=None,
            paused_at=None,
            paused_s=0,
            extra_time_s=0,
            larger_text=False,
            last_seen_at=now,
        )
        items = [
            SittingItem(position=position, slot=position, content_hash=task.content_hash, marks_available=marks)
            for position, (task, marks) in enumerate(kept, start=1)
        ]
        with self.storage.writing() as stored:
            for task, _ in kept:
                stored.tasks.keep(task)
            if not stored.refreshers.add(sitting, items):
                # Another page of the same person was quicker.
                return stored.refreshers.latest(here.organisation_id, line.assignment.id) or sitting
            stored.audit.append(
                self.event(
                    here.actor,
                    "sitting.started",
                    sitting.id,
                    here.organisation_id,
                    assignment=line.assignment.id,
                    number=number,
                    objectives=" ".join(each.objective_id for each in plan)[:200],
                )
            )
        return sitting

    def _kept(self, task: Task, now: datetime) -> tuple[StoredTask, int]:
        weights = weights_of(task)
        content_hash, content = self.form.write_task(task, weights)
        kept = StoredTask.of(task, content_hash, content, now)
        return kept, sum(weights)

    def done(self, here: Here, sitting_id: str) -> Passing | None:
        """What became of one's own sitting; None until it is marked. *Raises* RefresherError."""
        with self.storage.reading() as stored:
            sitting = stored.refreshers.get(here.organisation_id, sitting_id)
        if sitting is None or sitting.member_id != here.member_id:
            raise RefresherError(Problem(path="sitting", problem="is not a refresher of yours"))
        return None if sitting.grading_number is None else self._settled(sitting)

    def settle_own(self, here: Here) -> None:
        """Settles what the member handed in and nobody looked at since."""
        with self.storage.reading() as stored:
            mine = stored.assignments.of_members(here.organisation_id, [here.member_id])
        if mine:
            self._settle_all([each.id for each in mine])

    def settle_all(self) -> int:
        """The same for everybody; gives how many records that gave."""
        given = 0
        while found := self._settle_all(None):
            given += found
        return given

    def _settle_all(self, assignment_ids: Sequence[str] | None) -> int:
        with self.storage.reading() as stored:
            waiting = stored.refreshers.to_settle(assignment_ids, _AT_A_TIME)
        return sum(self._settled(each).record is not None for each in waiting)

    def _settled(self, sitting: Sitting) -> Passing:
        """Gives the record that a marked sitting has earned; done before, the one that it gave."""
        organisation_id = sitting.organisation_id
        with self.storage.writing() as stored:
            line = stored.assignments.get(organisation_id, sitting.assignment_id or "")
            if line is None:
                raise RefresherError(Problem(path="refresher", problem="is not there any more"))
            programme = known_programme(stored, organisation_id, line.assignment.programme_id)
            known = stored.records.of_sitting(sitting.id)
            if known is not None:
                return Passing(programme=programme, sitting=sitting, is_passed=True, record=known)
            marks, available = sitting.marks or 0, sitting.marks_available or 0
            safe = bool(sitting.safe_to_energise)
            if not passes(programme, marks, available, safe_to_energise=safe):
                return Passing(programme=programme, sitting=sitting, is_passed=False, record=None)
            record = self._record(stored, line, programme, sitting)
            stored.records.add(record)
            stored.assignments.change(
                replace(
                    line.assignment,
                    last_passed_at=sitting.handed_in_at,
                    last_edition=record.edition,
                    due_at=record.valid_until or line.assignment.due_at,
                )
            )
            stored.audit.append(
                self.event(
                    BY_COMMAND, "record.issued", record.id, organisation_id, sitting=sitting.id, programme=programme.id
                )
            )
        return Passing(programme=programme, sitting=sitting, is_passed=True, record=record)

    def _record(
        self, stored: ProgrammeRepositories, line: AssignedLine, programme: Programme, sitting: Sitting
    ) -> TrainingRecord:
        passed_at = sitting.handed_in_at or self.now()
        edition, rules = stored.refreshers.rule_set(sitting.id, sitting.grading_number or 1) or (programme.edition, "")
        assessed = [each.objective_id for each in stored.refreshers.sums(sitting.id)]
        return TrainingRecord(
            id=self.new_id(),
            code=self.code(),
            organisation_id=sitting.organisation_id,
            member_id=sitting.member_id,
            sitting_id=sitting.id,
            programme_id=programme.id,
            paper_id=None,
            title=programme.title,
            holder_name=line.member.display_name,
            # The holder decides; until then nobody outside reads the name.
            name_visibility=NameVisibility.HIDDEN,
            objectives_json=json.dumps(assessed),
            edition=edition,
            rule_set_version=rules,
            marks=sitting.marks or 0,
            marks_available=sitting.marks_available or 0,
            issued_at=self.now(),
            valid_until=valid_until(passed_at, programme.draw.cycle_months),
        )
