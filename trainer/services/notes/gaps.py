"""Half of a question worked, and gaps for the rest: nothing is marked, nothing is kept."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from trainer.domain.asks.answers import NONE_OF_THEM
from trainer.domain.asks.forms import Ask, AskForm, AskKey, Choice
from trainer.domain.asks.units import NotANumberError, number_in
from trainer.domain.tasks import Task

RIGHT, NOT = "right", "not"
_NUMBER = re.compile(r"(?<![\w.])\d+(?:\.\d+)?(?![\w²])")
_RESULT = re.compile(r"(?:=|\bis|\bare|\bgives|:)\s$")
_MOST_GAPS = 3
_NEAR = 0.011


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """One thing to fill: a number where there are no ``options``, else one of them."""

    id: str
    label: str
    right: str
    options: tuple[Choice, ...] = ()
    tolerance: float = 0.0

    def takes(self, given: str) -> bool:
        """True when what was filled in is right."""
        if self.options:
            return given == self.right
        try:
            return abs(number_in(given, "") - float(self.right)) <= self.tolerance
        except NotANumberError:
            return False


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """What is worked already: a choice, what holds of it, and why."""

    label: str
    verdict: str
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class HalfWorked:
    """``settled`` stands there; ``pieces`` is the reasoning with the ids of gaps among its texts; ``gaps`` are open."""

    settled: tuple[Settled, ...] = ()
    pieces: tuple[str, ...] = ()
    gaps: tuple[Gap, ...]

    @property
    def gap_of(self) -> Mapping[str, Gap]:
        """The gaps by id."""
        return {each.id: each for each in self.gaps}


def half_worked(task: Task, ask: Ask, key: AskKey, why: str) -> HalfWorked:
    """The question with the first half of its reasoning done."""
    if ask.form is AskForm.NUMBER:
        return _number(task, ask, key, why)
    return {
        AskForm.ONE: _one,
        AskForm.POINT: _one,
        AskForm.SEVERAL: _several,
        AskForm.MATCH: _match,
        AskForm.ORDER: _order,
    }[ask.form](ask, key)


def _number(task: Task, ask: Ask, key: AskKey, why: str) -> HalfWorked:
    """The reasoning with its results left out: numbers that nothing given contains."""
    given = f"{ask.question} {' '.join(row.value for sheet in task.pack for row in sheet.rows)}"
    known = {float(each) for each in _NUMBER.findall(given)}
    answer = f"{number_in(key.model, ask.unit):.9g}"
    spans = [each for each in _NUMBER.finditer(why) if _is_result(why, each, known, answer)]
    spans = sorted(sorted(spans, key=lambda each: float(each[0]) != float(answer))[:_MOST_GAPS], key=re.Match.start)
    if not spans:
        return HalfWorked(gaps=(Gap(id="gap-0", label=ask.unit, right=answer, tolerance=key.tolerance),))
    pieces: list[str] = []
    gaps: list[Gap] = []
    done = 0
    for number, each in enumerate(spans):
        gap = Gap(id=f"gap-{number}", label="", right=each[0], tolerance=_tolerance(each[0], answer, key))
        gaps.append(gap)
        pieces += [why[done : each.start()], gap.id]
        done = each.end()
    return HalfWorked(pieces=(*pieces, why[done:]), gaps=tuple(gaps))


def _is_result(why: str, found: re.Match[str], known: set[float], answer: str) -> bool:
    value = float(found[0])
    if value == float(answer):
        return True
    return value not in known and _RESULT.search(why[: found.start()]) is not None


def _tolerance(text: str, answer: str, key: AskKey) -> float:
    """How far a gap may be off: as the question itself, or half a step of what is printed and one per cent."""
    if float(text) == float(answer) and key.tolerance:
        return key.tolerance
    places = len(text.partition(".")[2])
    return max(0.5001 * 10.0**-places, _NEAR * float(text))


def _one(ask: Ask, key: AskKey) -> HalfWorked:
    """Half of the wrong choices struck out with their reason; the rest is to choose from."""
    out = {each.answer: each for each in key.wrongs[: max(1, (len(ask.choices) - 1) // 2)]}
    left = tuple(each for each in ask.choices if each.id not in out)
    settled = tuple(Settled(label=ask.label(name), verdict=NOT, why=each.why) for name, each in out.items())
    return HalfWorked(settled=settled, gaps=(Gap(id="gap-0", label="", right=key.model, options=left),))


def _several(ask: Ask, key: AskKey) -> HalfWorked:
    right = set() if key.model == NONE_OF_THEM else set(key.model.split("+"))
    half = len(ask.choices) // 2
    verdict = {each.id: RIGHT if each.id in right else NOT for each in ask.choices}
    settled = tuple(Settled(label=each.label, verdict=verdict[each.id]) for each in ask.choices[:half])
    both = (Choice(id=RIGHT, label=RIGHT), Choice(id=NOT, label=NOT))
    gaps = tuple(
        Gap(id=f"gap-{number}", label=each.label, right=verdict[each.id], options=both)
        for number, each in enumerate(ask.choices[half:])
    )
    return HalfWorked(settled=settled, gaps=gaps)


def _match(ask: Ask, key: AskKey) -> HalfWorked:
    partner = dict(pair.split("=") for pair in key.model.split("+"))
    half = max(1, len(ask.choices) // 2)
    settled = tuple(Settled(label=each.label, verdict=ask.label(partner[each.id])) for each in ask.choices[:half])
    gaps = tuple(
        Gap(id=f"gap-{number}", label=each.label, right=partner[each.id], options=ask.partners)
        for number, each in enumerate(ask.choices[half:])
    )
    return HalfWorked(settled=settled, gaps=gaps)


def _order(ask: Ask, key: AskKey) -> HalfWorked:
    """The first half of the order stands; each place after it is a gap."""
    placed = key.model.split(">")
    half = max(1, len(placed) // 2)
    settled = tuple(Settled(label=ask.label(name), verdict=f"{place}.") for place, name in enumerate(placed[:half], 1))
    left = tuple(each for each in ask.choices if each.id not in placed[:half])
    gaps = tuple(
        Gap(id=f"gap-{number}", label=f"{half + number + 1}.", right=name, options=left)
        for number, name in enumerate(placed[half:])
    )
    return HalfWorked(settled=settled, gaps=gaps)
