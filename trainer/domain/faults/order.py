"""Of all devices on a path: which acts first, which may act beside it, and what they cut off."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from trainer.domain.faults.path import CutOffs, Path
from trainer.domain.physics.responses import Function, Reason, Response, TripVerdict


@dataclass(frozen=True, slots=True, kw_only=True)
class Ending:
    """How a fault ends: who acts first and when, which circuits go dark, which may, which stay live."""

    acts_first: str | None
    break_time_max_ms: float | None
    goes_dark: tuple[str, ...]
    may_go_dark: tuple[str, ...]
    stays_live: tuple[str, ...]


Selective = Callable[[str, str], bool]
"""True when the standards count the second device as selective to the first, by their ids."""


def ending_of(cuts: CutOffs, path: Path, steps: Sequence[Response], selective: Selective) -> Ending:
    """The ending that the standards promise; steps stand in the order of the path.

    First is the device that must act within the shortest bound, the nearest among equals. A device
    further up may be as quick when its least time lies below that bound, unless the two count as
    selective.
    """
    first = min((step for step in steps if step.verdict is TripVerdict.MUST), key=_bound_ms, default=None)
    dark = frozenset() if first is None else cuts.by(path, first.device)
    maybe = set[str]()
    for step in steps:
        if step is first or not _may_be_as_quick(step, first):
            continue
        if first is None or not selective(first.device, step.device):
            maybe |= cuts.by(path, step.device)
    circuits = cuts.circuits
    return Ending(
        acts_first=None if first is None else first.device,
        break_time_max_ms=None if first is None else first.most_ms,
        goes_dark=tuple(each for each in circuits if each in dark),
        may_go_dark=tuple(each for each in circuits if each in maybe and each not in dark),
        stays_live=tuple(each for each in circuits if each not in dark),
    )


def _bound_ms(step: Response) -> float:
    return math.inf if step.most_ms is None else step.most_ms


def _may_be_as_quick(step: Response, first: Response | None) -> bool:
    """True when nothing keeps a further device from acting before the first has ended the fault.

    No standard gives overcurrent devices a least time; one with a longer bound counts as slower.
    """
    if step.verdict not in (TripVerdict.MUST, TripVerdict.MAY) or step.reason is Reason.TOO_SLOW:
        return False
    if first is None:
        return True
    if step.function is Function.OVERCURRENT and _bound_ms(step) > _bound_ms(first):
        return False
    return step.least_ms < _bound_ms(first)
