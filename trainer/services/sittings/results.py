"""After release: what a sitting earned and why."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from trainer.domain.errors import Problem
from trainer.domain.tasks import Task
from trainer.services.papers.counting import CountedItem, counted, total
from trainer.services.papers.records import Appeal, ItemMark, Moderation, Paper
from trainer.services.people.here import Here
from trainer.services.sittings.answers import read
from trainer.services.sittings.desk import is_told, own
from trainer.services.sittings.errors import NotYoursError
from trainer.services.sittings.finishing import Finishing
from trainer.services.sittings.records import ItemGrading, Sitting, SittingItem
from trainer.services.sittings.storage import SittingRepositories


@dataclass(frozen=True, slots=True, kw_only=True)
class ResultLine:
    """One item after release: the marks that count, and the changes that made them so."""

    item: SittingItem
    title: str
    kind: str
    counted: CountedItem
    grade_json: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """A sitting after release, or before it with no lines at all."""

    sitting: Sitting
    paper: Paper | None
    is_told: bool
    lines: tuple[ResultLine, ...] = ()
    appeals: tuple[Appeal, ...] = ()

    @property
    def marks(self) -> tuple[int, int]:
        """Marks earned and available, with what was changed by hand."""
        return total(each.counted for each in self.lines)


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemResult:
    """One item after release, with the task and what was answered."""

    result: Result
    line: ResultLine
    task: Task
    answers: Mapping[str, str]
    following: int | None


class Results(Finishing):
    """The result of one's own sitting."""

    def result(self, here: Here, sitting_id: str, *, only: int | None = None) -> Result:
        """The result, or one line of it; without any as long as it is not released. *Raises* NotYoursError."""
        with self.storage.reading() as stored:
            sitting = own(stored, here, sitting_id)
        sitting = self.caught_up(sitting)
        with self.storage.reading() as stored:
            paper = stored.papers.get(here.organisation_id, sitting.paper_id) if sitting.paper_id else None
            if not is_told(here, paper, sitting, self.now()):
                return Result(sitting=sitting, paper=paper, is_told=False)
            lines = self._lines(stored, here, paper, sitting, only)
            appeals = tuple(stored.appeals.of_sitting(here.organisation_id, sitting_id))
        return Result(sitting=sitting, paper=paper, is_told=True, lines=lines, appeals=appeals)

    def item(self, here: Here, sitting_id: str, position: int) -> ItemResult:
        """One item after release. *Raises* NotYoursError."""
        result = self.result(here, sitting_id, only=position)
        line = next(iter(result.lines), None)
        with self.storage.reading() as stored:
            kept = stored.tasks.get(line.item.content_hash) if line else None
            answers = read(stored.answers.get(sitting_id, position))
            later = [each.position for each in stored.sittings.items(sitting_id) if each.position > position]
        if line is None or kept is None:
            raise NotYoursError(Problem(path="position", value=position, problem="is not there, or not released"))
        task = self.form.read_task(kept.content)
        return ItemResult(
            result=result, line=line, task=task, answers=answers.given, following=min(later, default=None)
        )

    def _lines(
        self, stored: SittingRepositories, here: Here, paper: Paper | None, sitting: Sitting, only: int | None
    ) -> tuple[ResultLine, ...]:
        items = {each.position: each for each in stored.sittings.items(sitting.id)}
        marked = stored.gradings.items(sitting.id, sitting.grading_number or 0, position=only)
        changes: Sequence[Moderation] = stored.moderations.of_paper(here.organisation_id, paper.id) if paper else ()
        marks = [item_mark(sitting, items[each.position], each) for each in marked]
        lines = []
        for one, grading in zip(counted(marks, changes), marked, strict=True):
            item = items[grading.position]
            kept = stored.tasks.get(item.content_hash)
            title, kind = self.form.title(kept.content) if kept else ("", "")
            lines.append(ResultLine(item=item, title=title, kind=kind, counted=one, grade_json=grading.grade_json))
        return tuple(lines)


def item_mark(sitting: Sitting, item: SittingItem, marked: ItemGrading) -> ItemMark:
    """The marks of an item of a sitting as its marking gave them."""
    return ItemMark(
        sitting_id=sitting.id,
        position=item.position,
        slot=item.slot,
        content_hash=item.content_hash,
        marks=marked.marks,
        marks_available=marked.marks_available,
    )
