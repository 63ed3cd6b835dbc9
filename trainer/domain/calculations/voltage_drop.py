"""Voltage drop from the origin to the end of a circuit."""

from __future__ import annotations

import math

from trainer.domain.cables import CableType, Circuit
from trainer.domain.calculations.cable_rating import loaded_conductors
from trainer.domain.calculations.demand import design_current_a
from trainer.domain.calculations.facts import PER_MILLI, PERCENT, MissingFactError
from trainer.domain.calculations.lookup import lookup
from trainer.domain.calculations.loops import cable_of, conductor_temperature_c, effective_length_m
from trainer.domain.calculations.paths import board_of, distribution_circuits_above
from trainer.domain.findings import Term, Terms, total
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits, Table


def voltage_drop_v(house: Installation, circuit: Circuit, limits: Limits) -> tuple[float, Terms]:
    """Voltage drop from the origin to the end of a circuit in V, with its terms.

    Each section: (mV/A/m) * Ib * L / 1000, in a ring a quarter of L. A three-phase section before
    a single-phase circuit counts by 1/sqrt(3). A stated drop to the board replaces the sections
    before it. *Raises* MissingFactError. *Source*: BS 7671 Appendix 4 section 6.
    """
    own = section_drop_v(circuit, design_current_a(house, circuit, limits)[0], limits)
    if circuit.voltage_drop_to_board_v is not None:
        before = [circuit.voltage_drop_to_board_v]
    else:
        above = distribution_circuits_above(house, board_of(house, circuit))
        before = [_share(each, circuit) * _distribution_drop_v(house, each, limits) for each in above]
    return total((*before, own)), lambda: _terms(before, own)


def _terms(before: list[float], own: float) -> tuple[Term, ...]:
    earlier = (Term("distribution_circuit_drop", drop, "V") for drop in reversed(before))
    return (*earlier, Term("final_circuit_drop", own, "V"))


def _share(section: Circuit, circuit: Circuit) -> float:
    """Of the drop between lines of a three-phase section, the part that a single-phase circuit sees."""
    return 1 / math.sqrt(section.phases) if section.phases > circuit.phases else 1.0


def _distribution_drop_v(house: Installation, circuit: Circuit, limits: Limits) -> float:
    return section_drop_v(circuit, design_current_a(house, circuit, limits)[0], limits)


def section_drop_v(circuit: Circuit, current_a: float, limits: Limits) -> float:
    """The voltage drop in one circuit's cable at a current, in V: between lines in a three-phase one."""
    per_metre, _ = tabulated_drop(circuit, limits)
    return per_metre * current_a * effective_length_m(circuit, cable_of(circuit)) / PER_MILLI


def tabulated_drop(circuit: Circuit, limits: Limits) -> tuple[float, Table]:
    """The voltage drop of a circuit's cable in mV/A/m, and the table it stands in. *Raises* MissingFactError."""
    cable = cable_of(circuit)
    cool = conductor_temperature_c(cable, limits) < limits.overcurrent.conductor_temperature_c[cable.type].value
    table = _drop_table(cable.type, cool, limits)
    per_metre = lookup(table).rows.get((cable.cross_section_mm2, loaded_conductors(circuit)))
    if per_metre is None:
        raise MissingFactError(f"circuits.{circuit.id}.cable.cross_section_mm2")
    return per_metre, table


def _drop_table(cable_type: CableType, cool: bool, limits: Limits) -> Table:
    overcurrent = limits.overcurrent
    if cable_type is CableType.FLAT_THERMOPLASTIC_70:
        return overcurrent.drop_4d5
    if cable_type is CableType.MULTICORE_THERMOPLASTIC_70:
        return overcurrent.drop_4d2
    if cable_type is CableType.ARMOURED_THERMOSETTING_90 and not cool:
        return overcurrent.drop_4e4
    return overcurrent.drop_4d4


def maximum_voltage_drop_v(house: Installation, circuit: Circuit, limits: Limits) -> float:
    """The voltage drop allowed to the end of a final circuit of a house, in V."""
    return allowed_drop_v(circuit, house.supply.nominal_voltage_to_earth_v, limits)


def allowed_drop_v(circuit: Circuit, nominal_voltage_to_earth_v: float, limits: Limits) -> float:
    """The voltage drop allowed to the end of a final circuit in V: 3 % for lighting, 5 % for others."""
    shares = limits.overcurrent.voltage_drop_percent
    percent = shares["lighting"].value if circuit.luminaires else shares["other"].value
    if circuit.phases > 1:
        return limits.overcurrent.line_voltage_v.value * percent / PERCENT
    return nominal_voltage_to_earth_v * percent / PERCENT
