"""Traps that a house does not hold by its nature: what is changed so that they are there."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace

from trainer.domain.equipment import Equipment
from trainer.domain.generator.draft import Draft
from trainer.domain.generator.sizing import cable_of
from trainer.domain.generator.specs import each_value

_FULL_MA = 8.5
"""What leaks below an RCCB already: clear of 30 % of 30 mA, which is 9 mA, with little left."""
_TYPE_AC_UNTIL = 2018
_FUSE_ABOVE_A = 80.0
_MICRO_A = 16.0
_LARGE_SINGLE_PHASE_W = 5000.0
_LARGE_THREE_PHASE_W = 12000.0
_U0 = 230.0
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


def _more_than_16_a(draft: Draft) -> None:
    """The source of the new work in a size whose output is more than 16 A on a line."""
    item = draft.equipment[draft.plan.subject.work.role]
    if item.source is None or item.source.rated_current_a > _MICRO_A:
        return
    watt = _LARGE_THREE_PHASE_W if item.phases > 1 else _LARGE_SINGLE_PHASE_W
    current = round(watt / (_U0 * item.phases), 1)
    source = replace(item.source, rated_current_a=current)
    draft.equipment[item.id] = replace(item, rated_power_w=watt, rated_current_a=current, source=source)


def _older_board(draft: Draft) -> None:
    """A board of the years in which type AC was still fitted."""
    for board in list(draft.boards.values()):
        year = min(board.year_installed or _TYPE_AC_UNTIL, _TYPE_AC_UNTIL)
        draft.boards[board.id] = replace(board, year_installed=year)


def _larger_fuse(draft: Draft) -> None:
    """A service fuse above the smallest RCCB that is offered."""
    fuse = max(_FUSE_ABOVE_A, draft.supply.fuse_rated_current_a or 0.0)
    draft.supply = replace(draft.supply, fuse_rated_current_a=fuse)
    for device in [each for each in draft.devices.values() if each.id.startswith("rccb")]:
        draft.devices[device.id] = replace(device, rated_current_a=max(fuse, device.rated_current_a))


def _long_run(draft: Draft) -> None:
    """The cable of the new work as long as its kind is ever run, so that its loop decides on the curve."""
    work = draft.plan.subject.work
    circuit = draft.circuits[work.role]
    longest = max(float(length) for length in each_value(work.length_m))
    draft.circuits[work.role] = replace(circuit, cable=replace(cable_of(circuit), length_m=longest))


_PLANTINGS: Mapping[str, Callable[[Draft], None]] = {
    "leakage_that_sums": _leaking_board,
    "strings_not_inverters": _more_than_16_a,
    "curve_for_comfort": _long_run,
    "switch_below_the_fuse": _larger_fuse,
    "type_ac_kept": _older_board,
}
