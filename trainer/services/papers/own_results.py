"""A learner's own results in a line each: what may be seen, with every change of marks that counts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from trainer.services.papers.counting import counted, passed_with, percent, total
from trainer.services.papers.records import Moderation, Paper
from trainer.services.people.here import Here
from trainer.services.sittings.desk import SittingDesk, is_told
from trainer.services.sittings.records import Sitting
from trainer.services.sittings.results import item_mark
from trainer.services.sittings.storage import SittingRepositories


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnResult:
    """A result that its learner may see."""

    sitting_id: str
    paper_id: str
    title: str
    number: int
    handed_in_at: datetime | None
    marks: int
    available: int
    has_passed: bool | None

    @property
    def percent(self) -> int | None:
        """The share in whole percent, cut off."""
        return percent(self.marks, self.available)


class OwnResults(SittingDesk):
    """The use case of whoever looks for results."""

    def told(self, here: Here) -> Sequence[OwnResult]:
        """Newest first; also of papers of groups that the member has left."""
        now = self.now()
        found: list[OwnResult] = []
        with self.storage.reading() as stored:
            papers: dict[str, Paper | None] = {}
            changes: dict[str, Sequence[Moderation]] = {}
            for sitting in stored.sittings.of_member(here.organisation_id, here.member_id):
                paper_id = sitting.paper_id or ""
                if paper_id not in papers:
                    papers[paper_id] = stored.papers.get(here.organisation_id, paper_id)
                paper = papers[paper_id]
                if paper is None or not is_told(here, paper, sitting, now):
                    continue
                if paper_id not in changes:
                    changes[paper_id] = stored.moderations.of_paper(here.organisation_id, paper_id)
                found.append(_result(stored, paper, sitting, changes[paper_id]))
        return sorted(found, key=lambda each: (each.handed_in_at or now, each.number), reverse=True)


def _result(stored: SittingRepositories, paper: Paper, sitting: Sitting, changes: Sequence[Moderation]) -> OwnResult:
    marks, available = sitting.marks or 0, sitting.marks_available or 0
    # The marks of every task are read only where something was changed: most papers are not.
    if any(each.withdrawn_at is None and each.sitting_id in (None, sitting.id) for each in changes):
        items = {each.position: each for each in stored.sittings.items(sitting.id)}
        marked = stored.gradings.items(sitting.id, sitting.grading_number or 0)
        marks, available = total(counted([item_mark(sitting, items[each.position], each) for each in marked], changes))
    return OwnResult(
        sitting_id=sitting.id,
        paper_id=paper.id,
        title=paper.title,
        number=sitting.number,
        handed_in_at=sitting.handed_in_at,
        marks=marks,
        available=available,
        has_passed=passed_with(paper, marks, available, is_safe=sitting.safe_to_energise),
    )
