"""Figures of a paper: items, what was chosen instead, reliability, misconceptions, time; stored with their basis."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from trainer.domain.errors import Problem
from trainer.domain.tasks import Task, TaskKind
from trainer.services.papers.answers import in_words
from trainer.services.papers.basis import Basis
from trainer.services.papers.computing import computed
from trainer.services.papers.counting import by_sitting, counted
from trainer.services.papers.desk import PaperDesk
from trainer.services.papers.errors import PaperStateError
from trainer.services.papers.records import Moderation, Paper, SittingLine, StoredFigures
from trainer.services.papers.states import MARKED
from trainer.services.papers.storage import PaperRepositories
from trainer.services.papers.words import SittingState
from trainer.services.people.here import Here

_FORM = 2
_OPTIONS = f"{TaskKind.CHOOSE.value}."
EVERYBODY = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ObjectiveTable:
    """What each sitting earned towards each objective, in percent, and how many marks that rests on."""

    objectives: tuple[str, ...]
    lines: tuple[SittingLine, ...]
    cells: Mapping[tuple[str, str], tuple[int, int]]

    def percent(self, sitting_id: str, objective: str) -> int | None:
        """The share in whole percent; None where the objective was not met."""
        marks, available = self.cells.get((sitting_id, objective), (0, 0))
        return marks * 100 // available if available else None

    def overall(self, objective: str) -> int | None:
        """The share of all marks that everybody together earned."""
        own = [cell for (_, name), cell in self.cells.items() if name == objective]
        available = sum(each[1] for each in own)
        return sum(each[0] for each in own) * 100 // available if available else None


@dataclass(frozen=True, kw_only=True)
class FiguresDesk(PaperDesk):
    """The use cases of figures."""

    def figures(self, here: Here, paper_id: str, group_id: str = EVERYBODY) -> dict[str, Any]:
        """The figures of a paper, of everybody or of one group: as stored, else computed now and stored."""
        paper = _marked(self.paper(here, paper_id))
        with self.storage.reading() as stored:
            groups = stored.papers.learners(paper.organisation_id, paper.id)
            basis_hash = _fingerprint(stored, paper, groups)
            known = stored.figures.get(paper_id, group_id)
            if known is not None and known.basis_hash == basis_hash:
                return dict(json.loads(known.figures_json))
            basis = _read(stored, paper, groups, group_id)
            basis = replace(basis, outcomes=in_words(basis, self._tasks(stored, basis)))
        made = computed(basis)
        content = json.dumps(made, sort_keys=True).encode()
        figures = StoredFigures(
            paper_id=paper_id,
            group_id=group_id,
            figures_json=content,
            sittings=made["sittings"],
            basis_hash=basis_hash,
            made_at=self.now(),
        )
        with self.storage.writing() as stored:
            stored.figures.put(figures)
        return dict(json.loads(content))

    def objectives(self, here: Here, paper_id: str, group_id: str = EVERYBODY) -> ObjectiveTable:
        """Objectives by learner. *Raises* PaperError, PaperStateError."""
        paper = _marked(self.paper(here, paper_id))
        with self.storage.reading() as stored:
            groups = stored.papers.learners(paper.organisation_id, paper.id)
            lines = _of_group(stored.sittings.lines(here.organisation_id, paper_id), groups, group_id)
            sums = stored.sittings.objective_sums(paper_id)
        ids = {each.id for each in lines}
        cells = {(sitting, name): (marks, available) for sitting, name, marks, available in sums if sitting in ids}
        return ObjectiveTable(objectives=tuple(sorted({name for _, name in cells})), lines=tuple(lines), cells=cells)

    def _tasks(self, stored: PaperRepositories, basis: Basis) -> dict[str, Task]:
        """The tasks that ask, by hash: their choices are named by place, and places differ between variants."""
        asking = {(each.sitting_id, each.position) for each in basis.outcomes if not each.item_key.startswith(_OPTIONS)}
        hashes = {
            item.graded.content_hash
            for sitting, items in basis.items.items()
            for item in items
            if (sitting, item.graded.position) in asking
        }
        return {each: self.form.read_task(content) for each, content in stored.tasks.contents(hashes).items()}


def _marked(paper: Paper) -> Paper:
    if paper.state not in MARKED:
        problem = "figures are made once the paper is closed"
        raise PaperStateError(Problem(path="state", value=paper.state, problem=problem))
    return paper


def _fingerprint(stored: PaperRepositories, paper: Paper, groups: Mapping[str, Collection[str]]) -> str:
    """A hash of everything that figures rest on."""
    changes = stored.moderations.of_paper(paper.organisation_id, paper.id)
    parts = [
        _FORM,
        list(stored.sittings.basis(paper.id)),
        [(each.id, each.withdrawn_at is None) for each in changes],
        sorted((group, sorted(members)) for group, members in groups.items()),
    ]
    return hashlib.sha256(json.dumps(parts).encode()).hexdigest()


def _read(stored: PaperRepositories, paper: Paper, groups: Mapping[str, Collection[str]], group_id: str) -> Basis:
    changes: Sequence[Moderation] = stored.moderations.of_paper(paper.organisation_id, paper.id)
    lines = _of_group(stored.sittings.lines(paper.organisation_id, paper.id), groups, group_id)
    ids = {each.id for each in lines}
    items = by_sitting(counted(stored.sittings.item_marks(paper.id), changes))
    return Basis(
        lines=lines,
        items={sitting: listed for sitting, listed in items.items() if sitting in ids},
        outcomes=[each for each in stored.sittings.outcomes(paper.id) if each.sitting_id in ids],
        groups=groups,
    )


def _of_group(lines: Sequence[SittingLine], groups: Mapping[str, Collection[str]], group_id: str) -> list[SittingLine]:
    """The sittings that were handed in and marked, of everybody or of one group."""
    done = [each for each in lines if each.state is SittingState.HANDED_IN and each.grading_number is not None]
    return done if group_id == EVERYBODY else [each for each in done if each.member_id in groups.get(group_id, ())]
