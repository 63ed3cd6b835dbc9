"""Cables: fault withstand, protective conductors, voltage drop, correction factors, temperature."""

from __future__ import annotations

from trainer.domain.cables import Circuit
from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.calculations.voltage_drop import maximum_voltage_drop_v, voltage_drop_v
from trainer.domain.findings import Verdict, at_most, undetermined
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.registry import Over, Rule, rule
from trainer.domain.vocabulary import Consequence


@rule("OC-08", over=Over.CIRCUITS, consequence=Consequence.EQUIPMENT, objectives=("LO31",))
def voltage_drop_within_limits(circuit: Circuit, house: Installation, limits: Limits) -> Verdict | None:
    """The voltage drop from the origin to the end of a final circuit stays within the share allowed.

    Why: lamps flicker, motors and electronics run hot or drop out at low voltage.
    Remedy: a larger or shorter cable, or less current in it.
    Assumes: a public supply; conductors at full temperature carrying the design current.
    Formula: sum of (mV/A/m) * Ib * L / 1000 <= 3 % of the nominal voltage for lighting, 5 % for others
    """
    if not house.is_final(circuit):
        return None
    try:
        drop, terms = voltage_drop_v(house, circuit, limits)
    except MissingFactError as gap:
        return undetermined(*gap.paths)
    case = "lighting" if circuit.luminaires else "other"
    return at_most(drop, maximum_voltage_drop_v(house, circuit, limits), unit="V", terms=terms, case=case)


RULES: tuple[Rule, ...] = (voltage_drop_within_limits,)
