"""Prospective fault current at a board, from that at the origin."""

from __future__ import annotations

import math

from trainer.domain.cables import Circuit
from trainer.domain.calculations.facts import PER_MILLI, MissingFactError
from trainer.domain.calculations.lookup import lookup
from trainer.domain.calculations.loops import cable_of, effective_length_m
from trainer.domain.calculations.paths import distribution_circuits_above
from trainer.domain.devices import Board
from trainer.domain.findings import total
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits

_LINE_AND_NEUTRAL = 2


def prospective_fault_current_ka(house: Installation, board: Board, limits: Limits) -> float:
    """The largest prospective fault current at a board, in kA.

    I = U0 / sqrt(Z^2 + R^2), Z = U0 / Ipf at the origin, R the cold conductors of the distribution
    circuits: both conductors in single phase, one in three phases. With an unknown angle of Z this
    is the largest current possible. *Raises* MissingFactError.
    """
    at_origin = house.supply.prospective_fault_current_ka
    if at_origin is None:
        raise MissingFactError("supply.prospective_fault_current_ka")
    above = distribution_circuits_above(house, board)
    if not above:
        return at_origin
    voltage = house.supply.nominal_voltage_to_earth_v
    source_ohm = voltage / (at_origin * PER_MILLI)
    cable_ohm = total(_cold_ohm(each, limits) for each in above)
    return voltage / math.hypot(source_ohm, cable_ohm) / PER_MILLI


def _cold_ohm(circuit: Circuit, limits: Limits) -> float:
    cable = cable_of(circuit)
    per_metre = lookup(limits.earthing.conductor_resistance).rows.get((cable.cross_section_mm2,))
    if per_metre is None:
        raise MissingFactError(f"circuits.{circuit.id}.cable.cross_section_mm2")
    conductors = 1 if circuit.phases > 1 else _LINE_AND_NEUTRAL
    return conductors * per_metre * effective_length_m(circuit, cable) / PER_MILLI
