"""After the sitting: marks read, changed and voided with a reason; notes of learners answered."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from trainer.domain.errors import Problem
from trainer.domain.tasks import Task
from trainer.services.operation.audit import Fact
from trainer.services.papers.counting import CountedItem, by_sitting, counted, total
from trainer.services.papers.desk import PaperDesk, checked_reason
from trainer.services.papers.errors import MarkError, PaperError, PaperStateError
from trainer.services.papers.records import Appeal, Moderation, Paper, SittingLine
from trainer.services.papers.states import CHANGEABLE, MARKED
from trainer.services.papers.storage import PaperRepositories
from trainer.services.papers.words import AppealState, ModerationKind, PaperState, SittingState
from trainer.services.people.here import Here

LONGEST_NOTE = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """The marks of everybody who handed in, item by item; names only once the marks are released."""

    paper: Paper
    lines: tuple[SittingLine, ...]
    items: Mapping[str, tuple[CountedItem, ...]]
    moderations: tuple[Moderation, ...]
    appeals: tuple[Appeal, ...]

    @property
    def is_anonymous(self) -> bool:
        """True until the release: candidates are known by number."""
        return self.paper.state is not PaperState.RELEASED


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkedSitting:
    """One sitting with its items and what was said of each."""

    paper: Paper
    line: SittingLine
    items: tuple[CountedItem, ...]
    tasks: Mapping[int, Task]
    grades: Mapping[int, bytes]
    appeals: tuple[Appeal, ...]


@dataclass(frozen=True, kw_only=True)
class MarkingDesk(PaperDesk):
    """The use cases of marks."""

    def sheet(self, here: Here, paper_id: str) -> Sheet:
        """The marks of a paper that nobody sits any more. *Raises* PaperError, PaperStateError."""
        paper = self._marked(self.paper(here, paper_id))
        with self.storage.reading() as stored:
            lines = stored.sittings.lines(here.organisation_id, paper_id)
            moderations = tuple(stored.moderations.of_paper(here.organisation_id, paper_id))
            marks = stored.sittings.item_marks(paper_id)
            appeals = tuple(stored.appeals.of_paper(here.organisation_id, paper_id))
        return Sheet(
            paper=paper,
            lines=tuple(_named(paper, each) for each in lines if each.state is SittingState.HANDED_IN),
            items=by_sitting(counted(marks, moderations)),
            moderations=moderations,
            appeals=appeals,
        )

    def sitting(self, here: Here, sitting_id: str) -> MarkedSitting:
        """One sitting with marks and reasons. *Raises* PaperError, PaperStateError."""
        with self.storage.reading() as stored:
            paper, line = self._line(stored, here, sitting_id)
        paper = self._marked(self.paper(here, paper.id))
        with self.storage.reading() as stored:
            moderations = stored.moderations.of_paper(here.organisation_id, paper.id)
            items = counted(stored.sittings.item_marks(paper.id, sitting_id), moderations)
            grades = {each.graded.position: stored.sittings.grade(sitting_id, each.graded.position) for each in items}
            kept = {each.graded.position: stored.tasks.get(each.graded.content_hash) for each in items}
            appeals = tuple(stored.appeals.of_sitting(here.organisation_id, sitting_id))
        return MarkedSitting(
            paper=paper,
            line=_named(paper, line),
            items=items,
            tasks={position: self.form.read_task(task.content) for position, task in kept.items() if task},
            grades={position: grade for position, grade in grades.items() if grade is not None},
            appeals=appeals,
        )

    def change_mark(self, here: Here, sitting_id: str, position: int, marks: int, reason: str) -> Moderation:
        """Gives an item of one sitting other marks. *Raises* PaperError, PaperStateError, MarkError."""
        why = checked_reason(reason)
        with self.storage.writing() as stored:
            paper, _ = self._line(stored, here, sitting_id)
            self._check_changeable(stored, paper, sitting_id)
            now_counted = counted(
                stored.sittings.item_marks(paper.id, sitting_id),
                stored.moderations.of_paper(here.organisation_id, paper.id),
            )
            item = next((each for each in now_counted if each.graded.position == position), None)
            _check_mark(item, position, marks)
            assert item is not None, "it was checked"  # noqa: S101 - tells mypy
            change = Moderation(
                id=self.new_id(),
                organisation_id=here.organisation_id,
                paper_id=paper.id,
                kind=ModerationKind.MARK_CHANGED,
                sitting_id=sitting_id,
                position=position,
                slot=item.graded.slot,
                marks_before=item.marks,
                marks_after=marks,
                reason=why,
                made_by=here.member_id,
                made_at=self.now(),
            )
            stored.moderations.add(change)
            count_again(stored, paper, sitting_id)
            facts: dict[str, Fact] = {"sitting": sitting_id, "position": position}
            facts |= {"before": item.marks, "after": marks}
            stored.audit.append(self.event(here.actor, "paper.mark_changed", paper, **facts))
        return change

    def void_item(self, here: Here, paper_id: str, position: int, reason: str) -> Moderation:
        """Takes an item out of everybody's marks. *Raises* PaperError, PaperStateError, MarkError."""
        why = checked_reason(reason)
        paper = self.paper(here, paper_id)
        self._check_before_release(paper)
        with self.storage.writing() as stored:
            known = stored.moderations.of_paper(here.organisation_id, paper_id)
            items = counted(stored.sittings.item_marks(paper_id), known)
            own = [each for each in items if each.graded.position == position]
            if not own:
                raise MarkError(Problem(path="position", value=position, problem="nobody has marks for such a task"))
            if own[0].is_voided:
                raise MarkError(Problem(path="position", value=position, problem="the task is voided already"))
            change = Moderation(
                id=self.new_id(),
                organisation_id=here.organisation_id,
                paper_id=paper_id,
                kind=ModerationKind.ITEM_VOIDED,
                sitting_id=None,
                position=position,
                slot=own[0].graded.slot,
                marks_before=None,
                marks_after=None,
                reason=why,
                made_by=here.member_id,
                made_at=self.now(),
            )
            stored.moderations.add(change)
            count_again(stored, paper)
            facts = {"position": position, "sittings": len(own)}
            stored.audit.append(self.event(here.actor, "paper.item_voided", paper, **facts))
        return change

    def withdraw(self, here: Here, paper_id: str, moderation_id: str) -> None:
        """Takes a change of marks back; both stay in the list. *Raises* PaperError, PaperStateError, MarkError."""
        paper = self.paper(here, paper_id)
        self._check_before_release(paper)
        with self.storage.writing() as stored:
            known = {each.id: each for each in stored.moderations.of_paper(here.organisation_id, paper_id)}
            if moderation_id not in known or not stored.moderations.withdraw(
                here.organisation_id, moderation_id, self.now()
            ):
                raise MarkError(Problem(path="change", problem="is not one that counts; load the page again"))
            count_again(stored, paper, known[moderation_id].sitting_id)
            stored.audit.append(self.event(here.actor, "paper.change_withdrawn", paper, change=moderation_id))

    def raise_appeal(self, here: Here, sitting_id: str, position: int | None, note: str) -> Appeal:
        """A learner's note on the marks of an own sitting, once they are released. *Raises* PaperError, MarkError."""
        text = " ".join(note.split())
        if not text or len(text) > LONGEST_NOTE:
            raise MarkError(Problem(path="note", problem=f"write in at most {LONGEST_NOTE} characters what is wrong"))
        with self.storage.writing() as stored:
            found = stored.sittings.line(here.organisation_id, sitting_id)
            if found is None or found[1].member_id != here.member_id or found[0].state is not PaperState.RELEASED:
                raise PaperError(Problem(path="sitting", problem="is not one of yours whose marks are released"))
            paper = found[0]
            known = stored.appeals.of_sitting(here.organisation_id, sitting_id)
            if any(each.position == position and each.state is AppealState.OPEN for each in known):
                raise MarkError(Problem(path="note", problem="you wrote on this already; wait for the answer"))
            appeal = Appeal(
                id=self.new_id(),
                organisation_id=here.organisation_id,
                sitting_id=sitting_id,
                position=position,
                note=text,
                state=AppealState.OPEN,
                raised_at=self.now(),
                answer="",
            )
            stored.appeals.add(appeal)
            stored.audit.append(self.event(here.actor, "paper.appeal_raised", paper, sitting=sitting_id))
        return appeal

    def answer_appeal(self, here: Here, appeal_id: str, *, upheld: bool, answer: str) -> Appeal:
        """Answers a learner's note; when it is upheld, the mark may then be changed. *Raises* PaperError, MarkError."""
        text = checked_reason(answer, "answer")
        with self.storage.writing() as stored:
            appeal = stored.appeals.get(here.organisation_id, appeal_id)
            if appeal is None:
                raise PaperError(Problem(path="appeal", problem="is not there"))
            paper, _ = self._line(stored, here, appeal.sitting_id)
            state = AppealState.UPHELD if upheld else AppealState.DISMISSED
            answered = replace(appeal, state=state, answer=text, answered_by=here.member_id, answered_at=self.now())
            if not stored.appeals.close(answered):
                raise MarkError(Problem(path="appeal", problem="was answered already; load the page again"))
            facts = {"appeal": appeal_id, "sitting": appeal.sitting_id}
            stored.audit.append(self.event(here.actor, f"paper.appeal_{state.value}", paper, **facts))
        return answered

    def _line(self, stored: PaperRepositories, here: Here, sitting_id: str) -> tuple[Paper, SittingLine]:
        found = stored.sittings.line(here.organisation_id, sitting_id)
        if found is None:
            raise PaperError(Problem(path="sitting", problem="is not one of yours"))
        return self.mine(stored, here, found[0].id), found[1]

    def _marked(self, paper: Paper) -> Paper:
        if paper.state not in MARKED:
            problem = "nobody's marks are read while a paper is sat; close it first"
            raise PaperStateError(Problem(path="state", value=paper.state, problem=problem))
        return paper

    def _check_before_release(self, paper: Paper) -> None:
        if paper.state not in CHANGEABLE:
            problem = "marks are changed between the closing and the release; after it on an appeal that was upheld"
            raise PaperStateError(Problem(path="state", value=paper.state, problem=problem))

    def _check_changeable(self, stored: PaperRepositories, paper: Paper, sitting_id: str) -> None:
        appeals = stored.appeals.of_sitting(paper.organisation_id, sitting_id)
        upheld = any(each.state is AppealState.UPHELD for each in appeals)
        if not (paper.state is PaperState.RELEASED and upheld):
            self._check_before_release(paper)


def _named(paper: Paper, line: SittingLine) -> SittingLine:
    """The line without its name as long as marks are anonymous."""
    return line if paper.state is PaperState.RELEASED else replace(line, display_name="")


def count_again(stored: PaperRepositories, paper: Paper, sitting_id: str | None = None) -> None:
    """Stores the marks that count now, of one sitting or of all."""
    moderations = stored.moderations.of_paper(paper.organisation_id, paper.id)
    items = counted(stored.sittings.item_marks(paper.id, sitting_id), moderations)
    for each, listed in by_sitting(items).items():
        stored.sittings.set_marks(each, *total(listed))


def _check_mark(item: CountedItem | None, position: int, marks: int) -> None:
    """*Raises* MarkError."""
    if item is None:
        raise MarkError(Problem(path="position", value=position, problem="the sitting has no marks for such a task"))
    if item.is_voided:
        raise MarkError(Problem(path="position", value=position, problem="the task is voided and counts for nobody"))
    if not 0 <= marks <= item.graded.marks_available:
        problem = f"must be from 0 to {item.graded.marks_available}"
        raise MarkError(Problem(path="marks", value=marks, problem=problem))
    if marks == item.marks:
        raise MarkError(Problem(path="marks", value=marks, problem="these are the marks that count already"))
