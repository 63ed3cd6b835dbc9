"""Figures computed from their basis, as plain values that JSON holds."""

from __future__ import annotations

import statistics
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

from trainer.domain.figures.items import PROVISIONAL_BELOW, choice_figures, item_figures
from trainer.domain.figures.reliability import reliability
from trainer.services.papers.basis import Basis
from trainer.services.papers.counting import CountedItem, total
from trainer.services.papers.records import Outcome

_SECONDS = 60
_PERCENT = 100.0
NOTHING = "nothing"


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
