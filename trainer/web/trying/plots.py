"""Value and limit of a finding along the sweep, as points of a drawing: plain geometry, rounded, no library."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from trainer.services.trying.moving import Flip, Key, Sweep
from trainer.services.trying.places import Value

WIDTH, HEIGHT = 340.0, 180.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 44.0, 22.0, 12.0, 30.0
_NICE = (1.0, 2.0, 5.0, 10.0)
_MARKS = 5
_DOTS_MAXIMUM = 60


@dataclass(frozen=True, slots=True)
class Dot:
    """One step: where it stands and how it was judged."""

    x: float
    y: float
    outcome: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """A drawing of one finding: its value, its limit, each step by its outcome, and where it flips."""

    unit: str
    values: tuple[str, ...]
    limits: tuple[str, ...]
    dots: tuple[Dot, ...]
    flips: tuple[float, ...]
    across: tuple[tuple[float, str], ...]
    up: tuple[tuple[float, str], ...]
    now: float | None
    width: float = WIDTH
    height: float = HEIGHT
    left: float = _LEFT
    right: float = WIDTH - _RIGHT
    top: float = _TOP
    bottom: float = HEIGHT - _BOTTOM


@dataclass(frozen=True, slots=True)
class _Sample:
    at: float
    value: float
    limit: float | None
    outcome: str


def plots_of(result: Sweep) -> dict[Key, Plot]:
    """A drawing for each flipping finding whose value is a number, when a number is moved."""
    if not result.place.is_number:
        return {}
    found = ((key, _plot(result, key)) for key in result.flipping)
    return {key: plot for key, plot in found if plot is not None}


def _plot(result: Sweep, key: Key) -> Plot | None:
    unit = _unit(result, key)
    runs = _runs(result, key, unit)
    samples = [each for run in runs for each in run]
    if len(samples) < 2:
        return None
    steps = [number for step in result.steps for number in _numbers(step.value)]
    heights = [number for each in samples for number in (each.value, *_numbers(each.limit))]
    frame = _Frame(min(steps), max(steps), min(0.0, *heights), max(heights) * 1.08 or 1.0)
    now = [number for number in _numbers(result.place.value) if min(steps) <= number <= max(steps)]
    flips = (each for each in result.flips if each.key == key)
    return Plot(
        unit=unit,
        values=tuple(frame.line((each.at, each.value) for each in run) for run in runs),
        limits=tuple(frame.line((each.at, each.limit) for each in run if each.limit is not None) for run in runs),
        dots=tuple(Dot(frame.x(each.at), frame.y(each.value), each.outcome) for each in samples[:_DOTS_MAXIMUM]),
        flips=tuple(frame.x(math.fsum(between) / 2) for each in flips if len(between := _between(each)) == 2),
        across=frame.across(),
        up=frame.up(),
        now=frame.x(now[0]) if now else None,
    )


def _between(flip: Flip) -> tuple[float, ...]:
    """The numbers on both sides of a flip; fewer where a side is left out."""
    return (*_numbers(flip.below.value), *_numbers(flip.above.value))


def _numbers(value: Value) -> tuple[float, ...]:
    """The value as a number, or nothing."""
    return (float(value),) if isinstance(value, int | float) else ()


def _unit(result: Sweep, key: Key) -> str:
    """The unit in which the finding is told most often: a rule may compare currents here and sections there."""
    units = Counter(step.findings[key].verdict.unit for step in result.steps if key in step.findings)
    return units.most_common(1)[0][0] if units else ""


def _runs(result: Sweep, key: Key, unit: str) -> list[list[_Sample]]:
    """The finding at each step and on both sides of its flips, in order, broken where it has no number of the unit."""
    sides = [side for flip in result.flips if flip.key == key for side in (flip.below, flip.above)]
    tried = {number: step for step in (*result.steps, *sides) for number in _numbers(step.value)}
    runs: list[list[_Sample]] = [[]]
    for number in sorted(tried):
        finding = tried[number].findings.get(key)
        value = _numbers(finding.verdict.value) if finding else ()
        if finding is None or not value or finding.verdict.unit != unit:
            runs.append([])
            continue
        limit = _numbers(finding.verdict.limit)
        runs[-1].append(_Sample(number, value[0], limit[0] if limit else None, finding.outcome.value))
    return [run for run in runs if run]


@dataclass(frozen=True, slots=True)
class _Frame:
    """The values that the frame spans."""

    x_low: float
    x_high: float
    y_low: float
    y_high: float

    def x(self, value: float) -> float:
        share = (value - self.x_low) / ((self.x_high - self.x_low) or 1.0)
        return round(_LEFT + share * (WIDTH - _LEFT - _RIGHT), 1)

    def y(self, value: float) -> float:
        share = (value - self.y_low) / ((self.y_high - self.y_low) or 1.0)
        return round(HEIGHT - _BOTTOM - share * (HEIGHT - _TOP - _BOTTOM), 1)

    def line(self, points: Iterable[tuple[float, float]]) -> str:
        return " ".join(f"{self.x(x)},{self.y(y)}" for x, y in points)

    def across(self) -> tuple[tuple[float, str], ...]:
        return tuple((self.x(value), f"{value:g}") for value in _marks(self.x_low, self.x_high))

    def up(self) -> tuple[tuple[float, str], ...]:
        return tuple((self.y(value), f"{value:g}") for value in _marks(self.y_low, self.y_high))


def _marks(low: float, high: float) -> Sequence[float]:
    """Round values at even steps, at most about five."""
    span = high - low
    if span <= 0:
        return (low,)
    rough = span / _MARKS
    magnitude = 10.0 ** math.floor(math.log10(rough))
    step = next(each * magnitude for each in _NICE if each * magnitude >= rough * 0.999)
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return [round(number * step, 10) for number in range(first, last + 1)]
