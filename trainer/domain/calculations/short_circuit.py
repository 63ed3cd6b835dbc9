"""Short circuits between live conductors at the far end of a circuit."""

from __future__ import annotations

from trainer.domain.cables import Circuit
from trainer.domain.calculations.facts import PER_MILLI, MissingFactError
from trainer.domain.calculations.loops import line_conductor_ohm
from trainer.domain.calculations.paths import sections
from trainer.domain.findings import Term, Terms, total
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits

_LINE_AND_NEUTRAL = 2


def least_short_circuit_current_a(house: Installation, circuit: Circuit, limits: Limits) -> tuple[float, Terms]:
    """The least short-circuit current at the far end of a circuit in A, with the terms of its loop.

    I = U0 * Cmin / (U0 / Ipf + sum of 2 R1), conductors at operating temperature, the neutral as
    large as the line. *Raises* MissingFactError. *Source*: BS 7671 434.1, 411.4.4 for Cmin.
    """
    at_origin = house.supply.prospective_fault_current_ka
    if at_origin is None:
        raise MissingFactError("supply.prospective_fault_current_ka")
    voltage = house.supply.nominal_voltage_to_earth_v
    source = voltage / (at_origin * PER_MILLI)
    conductors = total(_LINE_AND_NEUTRAL * line_conductor_ohm(each, limits) for each in sections(house, circuit))
    current = voltage * limits.overcurrent.minimum_voltage_factor.value / (source + conductors)
    return current, lambda: (Term("supply", source, "ohm"), Term("line_and_neutral", conductors, "ohm"))
