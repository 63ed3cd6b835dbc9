"""The supply and the means of earthing, drawn from the ranges of the archetype."""

from __future__ import annotations

from trainer.domain.generator.data import Facts, SupplyKind
from trainer.domain.generator.randomness import Draws
from trainer.domain.generator.typed import build
from trainer.domain.supply import Earthing, Supply
from trainer.domain.vocabulary import EarthingSystem

_LINE_TO_NEUTRAL = {EarthingSystem.TN_C_S: (1.0, 1.0), EarthingSystem.TN_S: (0.45, 0.7)}
"""Impedance of the line-neutral loop against that of the line-earth loop: in TN-S the sheath adds to the latter."""


def drawn(facts: Facts, draws: Draws) -> dict[str, object]:
    """A value for each fact."""
    return {path: spec.draw(draws) for path, spec in facts}


def draw_supply(kind: SupplyKind, draws: Draws) -> Supply:
    """The supply as the record states it; the fault current follows from the loop that was drawn."""
    values = drawn(kind.facts, draws)
    if "prospective_fault_current_ka" not in values:
        values["prospective_fault_current_ka"] = _fault_current_ka(kind, values, draws)
    return build(Supply, {"earthing_system": kind.system, "phases": kind.phases, **values})  # type: ignore[no-any-return]


def _fault_current_ka(kind: SupplyKind, values: dict[str, object], draws: Draws) -> float:
    """U0 / Z of the line-neutral loop in kA; with three phases about twice that between lines."""
    ohm = float(str(values["external_earth_fault_loop_impedance_ohm"]))
    low, high = _LINE_TO_NEUTRAL[kind.system]
    share = draws.stepped(low, high, 0.05) if low < high else low
    current = 230.0 / (ohm * share) / 1000.0
    return round(current * (2.0 if kind.phases > 1 else 1.0), 1)


def draw_earthing(kind: SupplyKind, draws: Draws) -> Earthing:
    """Electrodes, earthing conductor and bonding."""
    values = drawn(kind.earthing, draws)
    return build(Earthing, values)  # type: ignore[no-any-return]
