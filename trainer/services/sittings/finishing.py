"""Handing in and marking: one hand-in and one marking, however often they are asked for and wherever it stops.

The hand-in is one short transaction. The marking is computed outside of any and stored in another;
if the program dies between the two, the next look or the command does the rest.
"""

from __future__ import annotations

import hashlib
import logging
from collections.abc import Callable, Sequence
from datetime import timedelta

from trainer.domain.rules.version import rule_set_version
from trainer.domain.tasks import Task
from trainer.services.papers.states import MARKED, state_at
from trainer.services.papers.variants import scaled_marks
from trainer.services.papers.words import HandedInBy, PaperMode, SittingState
from trainer.services.people.here import Here
from trainer.services.sittings.answers import read
from trainer.services.sittings.desk import BY_CLOCK, SittingDesk, ends_now, own
from trainer.services.sittings.outcomes import outcomes_of, sums_of
from trainer.services.sittings.partial import PartGrade, grade_partly, told_open
from trainer.services.sittings.records import (
    DecisionOutcome,
    Grading,
    ItemGrading,
    SavedAnswer,
    Sitting,
    SittingItem,
)
from trainer.services.sittings.storage import SittingRepositories

_PATIENCE = timedelta(seconds=20)
"""How long whoever handed in has for the marking before another look does it."""
_AT_ONCE = 50
MOST_MARKED_AT_ONCE = 12
"""Tasks of a paper that are marked while whoever hands in waits; a longer one is marked by the job runner."""
FIRST = 1

log = logging.getLogger(__name__)


class Finishing(SittingDesk):
    """The end of a sitting."""

    def hand_in(self, here: Here, sitting_id: str) -> Sitting:
        """The sitting handed in; asked again, the one that was handed in. *Raises* NotYoursError.

        The job runner marks it seconds later. It is marked at once where the result is told at once,
        or where no runner is at work; but for a long paper, or while another of the same paper waits
        to be marked: there the next look does. A task takes up to a twentieth of a second with all its
        explanations, and a server that marks lets others wait: a class that hands in at one moment
        must not stop those who still save.
        """
        now = self.now()
        with self.storage.writing() as stored:
            before = own(stored, here, sitting_id, hold=True)
            if not before.is_open:
                return before
            sitting = self.looked_at(stored, before, now, stores=False)
            if sitting.is_open:
                sitting = self.ended(stored, sitting, now, here.actor, HandedInBy.LEARNER)
        # Only the one that ended it comes here. Of two of a paper that end together each may leave its marking to the
        # runner: what would decide between them is not worth the time of all who wait to write.
        with self.storage.reading() as stored:
            waits = self._is_left(stored, sitting) or _is_long(stored, sitting)
        return sitting if waits else self.marked(sitting)

    def _is_left(self, stored: SittingRepositories, sitting: Sitting) -> bool:
        """True where the marking is left to the runner or to the next look; never where the result is told at once."""
        paper = stored.papers.get(sitting.organisation_id, sitting.paper_id) if sitting.paper_id else None
        if paper is None or paper.mode is PaperMode.PRACTICE:
            return False
        return self.is_runner_at_work() or stored.sittings.is_one_unmarked(paper.id, beside=sitting.id)

    def caught_up(self, sitting: Sitting) -> Sitting:
        """The sitting, marked where that was left undone for longer than it takes."""
        if sitting.state is not SittingState.HANDED_IN or sitting.grading_number is not None:
            return sitting
        handed_in_at = sitting.handed_in_at or sitting.started_at
        # Whoever hands in marks at once; nobody does where the clock or the staff ended it.
        is_at_work = sitting.handed_in_by is HandedInBy.LEARNER and self.now() - handed_in_at <= _PATIENCE
        return sitting if is_at_work else self.marked(sitting)

    def end_of_paper(self, organisation_id: str, paper_id: str) -> Sequence[Sitting]:
        """Ends the sittings of a paper whose time is up; gives those that are still to be marked. Short.

        Those that go on are left alone: staff look every few seconds while hundreds sit.
        """
        now = self.now()
        with self.storage.reading() as stored:
            paper = stored.papers.get(organisation_id, paper_id)
            closed = paper is not None and state_at(paper, now) in MARKED
            unfinished = stored.sittings.unfinished(organisation_id, paper_id)
        waiting: list[Sitting] = []
        for each in unfinished:
            if each.is_open and not ends_now(each, now, is_closed=closed):
                continue
            with self.storage.writing() as stored:
                found = stored.sittings.get(organisation_id, each.id, hold=True)
                looked = self.looked_at(stored, found, self.now()) if found else each
            if looked.state is SittingState.HANDED_IN and looked.grading_number is None:
                waiting.append(looked)
        return waiting

    def close_due(self, tell: Callable[[int], None] | None = None, *, order: str = "") -> int:
        """Ends every sitting whose time is up and marks all that is unmarked; gives their number.

        Several that do it at once give another ``order`` each, so that they seldom meet at one
        sitting; where they do, one marking counts.
        """
        done = 0
        failed: set[str] = set()
        while True:
            # What cannot be closed now stays due; so that it hides nothing, as many more are asked for.
            with self.storage.reading() as stored:
                due = stored.sittings.due(self.now(), limit=_AT_ONCE + len(failed))
            waiting = [each for each in due if each.id not in failed]
            if not waiting:
                return done
            for each in sorted(waiting, key=lambda one: _place(order, one)):
                if not self._closed(each):
                    failed.add(each.id)
                    continue
                done += 1
                if tell is not None:
                    tell(done)

    def _closed(self, sitting: Sitting) -> bool:
        """True when the sitting could be ended and marked; one that cannot must not hold up the others."""
        try:
            now_stands = self.promptly(lambda: self._ended_if_due(sitting))
            if now_stands.is_open:
                return False
            return self.marked(now_stands).grading_number is not None
        except Exception:
            # Damaged data and mistakes of rules too; where the database is away, the next question to it tells.
            log.exception("a sitting could not be closed: %s", sitting.id)
            return False

    def _ended_if_due(self, sitting: Sitting) -> Sitting:
        if not sitting.is_open:
            # Nobody waits for one that only reads: most of those that are due were handed in.
            with self.storage.reading() as stored:
                return stored.sittings.get(sitting.organisation_id, sitting.id) or sitting
        with self.storage.writing() as stored:
            found = stored.sittings.get(sitting.organisation_id, sitting.id, hold=True)
            return self.looked_at(stored, found, self.now()) if found else sitting

    def marked(self, sitting: Sitting) -> Sitting:
        """The sitting with its first marking, made if there is none."""
        if sitting.grading_number is not None:
            return sitting
        grading = self.grading_of(sitting, FIRST)
        self.promptly(lambda: self._keep(sitting, grading))
        with self.storage.reading() as stored:
            return stored.sittings.get(sitting.organisation_id, sitting.id) or sitting

    def _keep(self, sitting: Sitting, grading: Grading) -> None:
        with self.storage.writing() as stored:
            if stored.gradings.record(sitting, grading):
                stored.audit.append(self.event(BY_CLOCK, "sitting.graded", sitting, grading=grading.number))

    def grading_of(self, sitting: Sitting, number: int, *, reason: str = "", graded_by: str | None = None) -> Grading:
        """A marking of what was saved, by the rules of this program; nothing is stored."""
        with self.storage.reading() as stored:
            items = stored.sittings.items(sitting.id)
            saved = stored.answers.all(sitting.id)
        at = self.now()
        graded = [self._graded(each, saved.get(each.position)) for each in items]
        marked_items = [self._written(each, task, part) for each, (task, part) in zip(items, graded, strict=True)]
        outcomes: list[DecisionOutcome] = []
        for item, (task, part) in zip(items, graded, strict=True):
            outcomes += outcomes_of(item, task, part)
        return Grading(
            id=self.new_id(),
            sitting_id=sitting.id,
            number=number,
            marks=sum(each.marks for each in marked_items),
            marks_available=sum(each.marks_available for each in marked_items),
            safe_to_energise=all(part.grade.safe_to_energise for _, part in graded),
            edition=graded[0][0].edition.value if graded else "",
            rule_set_version=rule_set_version(),
            reason=reason,
            graded_by=graded_by,
            graded_at=at,
            items=tuple(marked_items),
            outcomes=tuple(outcomes),
            objectives=sums_of(graded),
        )

    def _graded(self, item: SittingItem, saved: SavedAnswer | None) -> tuple[Task, PartGrade]:
        with self.storage.reading() as stored:
            task = self.task(stored, item.content_hash)
        answers = read(saved)
        known = {each.id for each in task.asks} or {each.id for each in task.decisions}
        part = grade_partly(
            task,
            {name: value for name, value in answers.given.items() if name in known},
            certainty=dict(answers.certainty),
            catalogue=self.catalogue,
            solution=None if task.asks else self.solutions.of(task, item.content_hash),
        )
        return task, part

    def _written(self, item: SittingItem, task: Task, part: PartGrade) -> ItemGrading:
        grade = part.grade
        content = self.form.write_grade(task, item.content_hash, grade)
        return ItemGrading(
            position=item.position,
            marks=scaled_marks(grade.marks, grade.marks_available, item.marks_available),
            marks_available=item.marks_available,
            grade_json=told_open(content, part.unanswered),
        )


def _is_long(stored: SittingRepositories, sitting: Sitting) -> bool:
    return sitting.paper_id is not None and len(stored.sittings.items(sitting.id)) > MOST_MARKED_AT_ONCE


def _place(order: str, sitting: Sitting) -> tuple[bytes, bytes]:
    """Those of one variant follow each other: their tasks are read and solved once."""
    return _drawn(f"{order} {sitting.paper_id} {sitting.variant}"), _drawn(f"{order} {sitting.id}")


def _drawn(text: str) -> bytes:
    return hashlib.blake2b(text.encode(), digest_size=8).digest()
