"""Figures of a paper: items, what was chosen instead, reliability, misconceptions, time; stored with their basis."""

from __future__ import annotations

import hashlib
import json
import statistics
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from trainer.domain.errors import Problem
from trainer.domain.figures.items import PROVISIONAL_BELOW, choice_figures, item_figures
from trainer.domain.figures.reliability import reliability
from trainer.services.papers.counting import CountedItem, by_sitting, counted, total
from trainer.services.papers.desk import PaperDesk
from trainer.services.papers.errors import PaperStateError
from trainer.services.papers.records import Moderation, Outcome, Paper, SittingLine, StoredFigures
from trainer.services.papers.states import MARKED
from trainer.services.papers.storage import PaperRepositories
from trainer.services.papers.words import SittingState
from trainer.services.people.here import Here
from trainer.services.people.words import GroupPart

_FORM = 1
_SECONDS = 60
_PERCENT = 100.0
EVERYBODY = ""
NOTHING = "nothing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Basis:
    """What figures are made of: sittings that were handed in, their items and outcomes, and changes of marks."""

    lines: Sequence[SittingLine]
    items: Mapping[str, tuple[CountedItem, ...]]
    outcomes: Sequence[Outcome]
    groups: Mapping[str, Collection[str]]


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
            groups = self._groups(stored, paper)
            basis_hash = _fingerprint(stored, paper, groups)
            known = stored.figures.get(paper_id, group_id)
            if known is not None and known.basis_hash == basis_hash:
                return dict(json.loads(known.figures_json))
            basis = _read(stored, paper, groups, group_id)
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
            groups = self._groups(stored, paper)
            lines = _of_group(stored.sittings.lines(here.organisation_id, paper_id), groups, group_id)
            sums = stored.sittings.objective_sums(paper_id)
        ids = {each.id for each in lines}
        cells = {(sitting, name): (marks, available) for sitting, name, marks, available in sums if sitting in ids}
        return ObjectiveTable(objectives=tuple(sorted({name for _, name in cells})), lines=tuple(lines), cells=cells)

    def _groups(self, stored: PaperRepositories, paper: Paper) -> dict[str, frozenset[str]]:
        """Who learns in each group that sits the paper."""
        return {
            group_id: frozenset(
                member
                for member, part in stored.groups.parts(paper.organisation_id, group_id).items()
                if part is GroupPart.LEARNS
            )
            for group_id in stored.papers.groups_of(paper.organisation_id, paper.id)
        }


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


def computed(basis: Basis) -> dict[str, Any]:
    """All figures as plain values that JSON holds."""
    marks, shares = _shares(basis)
    whole = {sitting: _share_of_all(items) for sitting, items in basis.items.items()}
    found = reliability(list(shares.values()), marks)
    return {
        "sittings": len(basis.lines),
        "provisional": len(basis.lines) < PROVISIONAL_BELOW,
        "result": _result(list(whole.values())),
        "time": _time([each.taken_s for each in basis.lines if each.taken_s is not None]),
        "reliability": None if found is None else {name: round(value, 4) for name, value in asdict(found).items()},
        "items": [
            {
                "position": int(each.item),
                "marks": int(marks[each.item]),
                "sittings": each.sittings,
                "facility": round(each.facility, 4),
                "discrimination": None if each.discrimination is None else round(each.discrimination, 4),
                "provisional": each.is_provisional,
            }
            for each in item_figures(list(shares.values()), marks)
        ],
        "choices": _choices(basis, whole),
        "misconceptions": _misconceptions(basis),
    }


def _shares(basis: Basis) -> tuple[dict[str, float], dict[str, dict[str, float]]]:
    """The marks of each item that counts, and the share that each sitting earned."""
    marks: dict[str, float] = {}
    shares: dict[str, dict[str, float]] = {}
    own = _own_shares(basis.outcomes)
    for sitting, items in basis.items.items():
        for each in items:
            if each.is_voided:
                continue
            name = str(each.graded.position)
            marks[name] = float(each.marks_available)
            # A mark that somebody changed counts as changed; else the own marks, which no rounding has touched.
            exact = own.get((sitting, each.graded.position), each.share)
            shares.setdefault(sitting, {})[name] = each.share if each.changes else exact
    return dict(sorted(marks.items(), key=lambda pair: int(pair[0]))), shares


def _own_shares(outcomes: Sequence[Outcome]) -> dict[tuple[str, int], float]:
    sums: dict[tuple[str, int], tuple[int, int]] = {}
    for each in outcomes:
        earned, available = sums.get((each.sitting_id, each.position), (0, 0))
        sums[each.sitting_id, each.position] = (earned + each.marks, available + each.marks_available)
    return {place: earned / available for place, (earned, available) in sums.items() if available}


def _share_of_all(items: Sequence[CountedItem]) -> float:
    marks, available = total(items)
    return marks / available if available else 0.0


def _result(shares: Sequence[float]) -> dict[str, Any] | None:
    if not shares:
        return None
    bins = Counter(min(int(share * 10), 9) for share in shares)
    return {
        "mean_percent": round(statistics.fmean(shares) * _PERCENT, 1),
        "median_percent": round(statistics.median(shares) * _PERCENT, 1),
        "deviation_percent": round(statistics.stdev(shares) * _PERCENT, 1) if len(shares) > 1 else None,
        "tenths": [bins.get(number, 0) for number in range(10)],
    }


def _time(taken_s: Sequence[int]) -> dict[str, float] | None:
    if not taken_s:
        return None
    minutes = [each / _SECONDS for each in taken_s]
    return {
        "shortest_min": round(min(minutes), 1),
        "median_min": round(statistics.median(minutes), 1),
        "longest_min": round(max(minutes), 1),
    }


def _choices(basis: Basis, whole: Mapping[str, float]) -> list[dict[str, Any]]:
    """For each question within an item what was answered, the most frequent first."""
    asked: dict[tuple[int, str, str], list[tuple[str, bool, float]]] = {}
    for each in basis.outcomes:
        right = each.marks_available > 0 and each.marks == each.marks_available
        answer = (each.chosen or NOTHING, right, whole.get(each.sitting_id, 0.0))
        asked.setdefault((each.position, each.item_key, each.objective_id), []).append(answer)
    return [
        {
            "position": position,
            "item_key": key,
            "objective": objective,
            "sittings": len(answers),
            "right": sum(each[1] for each in answers),
            "answers": [
                {
                    "chosen": each.chosen,
                    "times": each.times,
                    "mean_percent": round(each.mean_share * _PERCENT, 1),
                    "right": each.is_right,
                }
                for each in choice_figures(answers)
            ],
        }
        for (position, key, objective), answers in sorted(asked.items())
    ]


def _misconceptions(basis: Basis) -> list[dict[str, Any]]:
    """How many sittings of each group showed each misconception, and how often somebody was certain of it."""
    member_of = {each.id: each.member_id for each in basis.lines}
    shown: dict[str, set[str]] = {}
    certain: Counter[str] = Counter()
    for each in basis.outcomes:
        if each.misconception_id:
            shown.setdefault(each.misconception_id, set()).add(each.sitting_id)
            certain[each.misconception_id] += each.certainty == _CERTAIN
    return [
        {
            "id": name,
            "sittings": len(sittings),
            "certain": certain[name],
            "groups": {
                group: sum(member_of[each] in members for each in sittings) for group, members in basis.groups.items()
            },
        }
        for name, sittings in sorted(shown.items(), key=lambda pair: (-len(pair[1]), pair[0]))
    ]


_CERTAIN = 3
