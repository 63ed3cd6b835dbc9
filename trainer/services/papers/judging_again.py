"""A paper judged again after a correction of the rules: whom it would change, and why; then, deliberately, applied."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Protocol

from trainer.domain.errors import Problem, TrainerError
from trainer.domain.rules.version import rule_set_version
from trainer.services.operation.audit import Fact
from trainer.services.papers.counting import counted, passed, total
from trainer.services.papers.desk import PaperDesk, checked_reason
from trainer.services.papers.errors import MarkError, PaperStateError
from trainer.services.papers.marking import count_again
from trainer.services.papers.records import ItemMark, Moderation, Paper, Regrading, SittingLine
from trainer.services.papers.states import MARKED
from trainer.services.papers.storage import PaperRepositories
from trainer.services.papers.tables import candidate
from trainer.services.papers.words import SittingState
from trainer.services.people.here import Here
from trainer.services.regrading.differences import Differences, differences
from trainer.services.scopes import Scopes
from trainer.services.sittings.records import Grading, Sitting
from trainer.services.sittings.storage import Gradings, Sittings

Judge = Callable[[Sitting, int, str, str], Grading]
"""Marks what a sitting saved by the rules of this program: (sitting, number, reason, who asks); stores nothing."""


class RegradingRepositories(PaperRepositories, Protocol):
    """What judging again needs in one transaction."""

    @property
    def gradings(self) -> Gradings:
        """Markings."""

    @property
    def sat(self) -> Sittings:
        """Sittings as those who sit them have them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """A sitting with the marking that counts and the new one."""

    line: SittingLine
    sitting: Sitting
    before: Mapping[int, ItemMark]
    grading: Grading


@dataclass(frozen=True, kw_only=True)
class RegradingDesk(PaperDesk):
    """The use cases of judging again."""

    wider: Scopes[RegradingRepositories]
    judge: Judge

    def reports(self, here: Here, paper_id: str) -> tuple[Paper, Sequence[Regrading], int]:
        """The paper, its reports, newest first, and how many sittings other rules have judged."""
        paper = _marked(self.paper(here, paper_id))
        with self.storage.reading() as stored:
            versions = stored.sittings.rule_sets(paper_id)
            reports = stored.moderations.regradings(here.organisation_id, paper_id)
        return paper, reports, sum(each != rule_set_version() for each in versions.values())

    def report(self, here: Here, paper_id: str, reason: str) -> Regrading:
        """Judges every sitting that other rules have judged; changes nothing. *Raises* PaperError, PaperStateError."""
        why = checked_reason(reason)
        paper = _marked(self.paper(here, paper_id))
        judged, failed = self._judged(here, paper, why)
        with self.storage.reading() as stored:
            moderations = stored.moderations.of_paper(here.organisation_id, paper_id)
        told = [self._told(paper, each, moderations) for each in judged]
        changed = [each for each in told if each is not None]
        document = {"judged": len(judged), "changed": changed, "failed": failed}
        report = Regrading(
            id=self.new_id(),
            organisation_id=here.organisation_id,
            paper_id=paper_id,
            rule_set_version=rule_set_version(),
            reason=why,
            report_json=json.dumps(document, sort_keys=True).encode(),
            made_by=here.member_id,
            made_at=self.now(),
        )
        with self.storage.writing() as stored:
            stored.moderations.add_regrading(report)
            facts: dict[str, Fact] = {"judged": len(judged), "changed": len(changed), "rules": rule_set_version()}
            stored.audit.append(self.event(here.actor, "paper.judged_again", paper, **facts))
        return report

    def apply(self, here: Here, paper_id: str, regrading_id: str) -> int:
        """Lets the new markings count, beside the earlier ones; gives how many. *Raises* MarkError, PaperStateError."""
        paper, reports, _ = self.reports(here, paper_id)
        report = next((each for each in reports if each.id == regrading_id), None)
        if report is None or report.applied_at is not None or report.rule_set_version != rule_set_version():
            problem = "is applied already, or was made under other rules than those in force: make a new one"
            raise MarkError(Problem(path="report", problem=problem))
        judged, _failed = self._judged(here, paper, report.reason)
        with self.wider.writing() as stored:
            if not stored.moderations.apply_regrading(regrading_id, here.member_id, self.now()):
                raise MarkError(Problem(path="report", problem="is applied already; load the page again"))
            for each in judged:
                if not stored.gradings.record(each.sitting, each.grading):
                    raise MarkError(Problem(path="report", problem="the paper is being judged again elsewhere; wait"))
            count_again(stored, paper)
            facts: dict[str, Fact] = {"report": regrading_id, "sittings": len(judged)}
            facts |= {"rules": rule_set_version()}
            stored.audit.append(self.event(here.actor, "paper.regrading_applied", paper, **facts))
        return len(judged)

    def _judged(self, here: Here, paper: Paper, reason: str) -> tuple[list[Judged], list[dict[str, str]]]:
        """The new markings of all sittings that other rules have judged, and what could not be judged."""
        in_force = rule_set_version()
        with self.wider.reading() as stored:
            lines = stored.sittings.lines(here.organisation_id, paper.id)
            versions = stored.sittings.rule_sets(paper.id)
            marks = stored.sittings.item_marks(paper.id)
            stale = [
                (each, stored.sat.get(here.organisation_id, each.id))
                for each in lines
                if each.state is SittingState.HANDED_IN and versions.get(each.id, in_force) != in_force
            ]
        judged: list[Judged] = []
        failed: list[dict[str, str]] = []
        for line, sitting in stale:
            if sitting is None:
                continue
            try:
                grading = self.judge(sitting, (line.grading_number or 0) + 1, reason, here.member_id)
            except TrainerError as error:
                failed.append({"sitting": line.id, "candidate": candidate(line), "problem": str(error)})
                continue
            own = {each.position: each for each in marks if each.sitting_id == line.id}
            judged.append(Judged(line=line, sitting=sitting, before=own, grading=grading))
        return judged, failed

    def _told(self, paper: Paper, judged: Judged, moderations: Sequence[Moderation]) -> dict[str, Any] | None:
        """What differs for one sitting, with the rules behind it; None where nothing does."""
        items = [self._item(judged, each.position) for each in judged.grading.items]
        after_items = [
            replace(judged.before[each.position], marks=each.marks)
            for each in judged.grading.items
            if each.position in judged.before
        ]
        marks, available = total(counted(after_items, moderations))
        before = judged.line
        after = replace(
            before, marks=marks, marks_available=available, safe_to_energise=judged.grading.safe_to_energise
        )
        differing = [each for each in items if each is not None]
        unchanged = (before.marks, before.safe_to_energise) == (after.marks, after.safe_to_energise)
        if unchanged and not differing:
            return None
        return {
            "sitting": before.id,
            "candidate": candidate(before),
            "before": before.marks,
            "after": after.marks,
            "available": available,
            "safe": [before.safe_to_energise, after.safe_to_energise],
            "passed": [passed(paper, before), passed(paper, after)],
            "items": differing,
        }

    def _item(self, judged: Judged, position: int) -> dict[str, Any] | None:
        with self.storage.reading() as stored:
            content = stored.sittings.grade(judged.line.id, position)
        new = next(each for each in judged.grading.items if each.position == position)
        if content is None or position not in judged.before:
            return None
        found = differences(self.form.read_grade(content), self.form.read_grade(new.grade_json))
        if not found.result and judged.before[position].marks == new.marks:
            return None
        return {
            "position": position,
            "before": judged.before[position].marks,
            "after": new.marks,
            "because": _rules(found),
        }


def _rules(found: Differences) -> list[str]:
    """The rules whose findings bear on what differs, each once."""
    own = [change.either.rule for decision in found.decisions for change in decision.because]
    return list(dict.fromkeys(own or [each.either.rule for each in found.findings if each.bears_on_marks]))


def _marked(paper: Paper) -> Paper:
    if paper.state not in MARKED:
        problem = "a paper is judged again once it is closed"
        raise PaperStateError(Problem(path="state", value=paper.state, problem=problem))
    return paper
