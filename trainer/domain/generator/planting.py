"""Traps that a house does not hold by its nature: what is changed so that they are there."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace

from trainer.domain.equipment import Equipment
from trainer.domain.generator.draft import Draft

_FULL_MA = 8.5
"""What leaks below an RCCB already: clear of 30 % of 30 mA, which is 9 mA, with little left."""
_LEAST_MA = 1.3
"""What the new load has to leak so that the sum is clear of the 9 mA on the other side."""


def plant(draft: Draft) -> None:
    """Change the house so that the trap of the plan bites, where its nature alone would not do it."""
    planting = _PLANTINGS.get(draft.plan.focus.id)
    if planting is not None:
        planting(draft)


def _leaking_board(draft: Draft) -> None:
    """Every RCCB carries almost all the leakage that it may, and the new load brings the rest."""
    for rccb in [device.id for device in draft.devices.values() if device.id.startswith("rccb")]:
        _fill(draft, [item for item in draft.equipment.values() if draft.way(item.circuit).fed_by == rccb])
    new = draft.equipment[draft.plan.subject.work.role]
    draft.equipment[new.id] = replace(new, protective_conductor_current_ma=max(_LEAST_MA, _leakage_ma(new)))


def _fill(draft: Draft, items: list[Equipment]) -> None:
    """Scale the leakage of loads up to the full sum, in steps of 0.1 mA."""
    known = math.fsum(_leakage_ma(item) for item in items)
    if not known or known >= _FULL_MA:
        return
    for item in items:
        scaled = math.floor(10 * _leakage_ma(item) * _FULL_MA / known) / 10
        draft.equipment[item.id] = replace(item, protective_conductor_current_ma=scaled)


def _leakage_ma(item: Equipment) -> float:
    return item.protective_conductor_current_ma or 0.0


_PLANTINGS: Mapping[str, Callable[[Draft], None]] = {"leakage_that_sums": _leaking_board}
