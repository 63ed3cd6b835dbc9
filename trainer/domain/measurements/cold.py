"""What a tester reads on cold conductors."""

from __future__ import annotations

from trainer.domain.cables import Circuit
from trainer.domain.calculations.facts import PER_MILLI, MissingFactError
from trainer.domain.calculations.lookup import lookup
from trainer.domain.calculations.loops import ARMOURED, armour_milliohm_per_m, cable_of, effective_length_m
from trainer.domain.calculations.paths import sections
from trainer.domain.findings import total
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits


def cold_circuit_ohm(circuit: Circuit, limits: Limits) -> float:
    """R1 + R2 of one circuit at 20 C, in ohm: R = r20 * L. *Raises* MissingFactError.

    *Source*: the resistance per metre of the copper and armour tables that the limits name.
    """
    cable = cable_of(circuit)
    rows = lookup(limits.earthing.conductor_resistance).rows
    sizes = [cable.cross_section_mm2]
    armour = 0.0
    if cable.protective_conductor_mm2 is not None:
        sizes.append(cable.protective_conductor_mm2)
    elif cable.type in ARMOURED:
        armour = armour_milliohm_per_m(circuit, cable, limits)
    per_metre = [rows.get((size,)) for size in sizes]
    known = [each for each in per_metre if each is not None]
    if len(known) < len(sizes) or (len(sizes) == 1 and not armour):
        raise MissingFactError(f"circuits.{circuit.id}.cable")
    return total((*known, armour)) * effective_length_m(circuit, cable) / PER_MILLI


def cold_path_ohm(house: Installation, circuit: Circuit, limits: Limits) -> float:
    """R1 + R2 at 20 C from the origin to the end of a circuit, distribution circuits included, in ohm.

    *Raises* MissingFactError.
    """
    return total(cold_circuit_ohm(each, limits) for each in sections(house, circuit))
