"""The earth fault loop: supply or electrode, then line and protective conductor of each section."""

from __future__ import annotations

from trainer.domain.cables import Cable, CableType, Circuit
from trainer.domain.calculations.facts import PER_MILLI, MissingFactError
from trainer.domain.calculations.lookup import lookup, remembered
from trainer.domain.calculations.once import once
from trainer.domain.calculations.paths import charger_with_own_earth, sections
from trainer.domain.findings import Term, Terms, total
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.vocabulary import EarthingSystem

ARMOURED = frozenset({CableType.ARMOURED_THERMOPLASTIC_70, CableType.ARMOURED_THERMOSETTING_90})


@once
def earth_fault_loop_impedance(house: Installation, circuit: Circuit, limits: Limits) -> tuple[float, Terms]:
    """Earth fault loop impedance at the end of a circuit, in ohm, with its terms.

    Zs = Ze + sum of (R1 + R2) of the distribution circuits and of the circuit, conductors at their
    operating temperature. In TT, and for a charger with its own electrode: RA + sum of R1; RA
    includes the protective conductor. *Raises* MissingFactError. *Source*: BS 7671 411.4.4, 411.5.3.
    """
    origin, by_electrode = origin_impedance(house, circuit)
    runs = sections(house, circuit)
    lines = [line_conductor_ohm(each, limits) for each in runs]
    returns = [] if by_electrode else [protective_conductor_ohm(each, limits) for each in runs]
    ohm = total((origin, *lines, *returns))
    return ohm, lambda: _terms(origin, by_electrode, lines, returns)


def _terms(origin: float, by_electrode: bool, lines: list[float], returns: list[float]) -> list[Term]:
    """Terms in the order of the current: the distribution circuits from the origin, then the circuit."""
    name = "earth_electrode_resistance" if by_electrode else "external_earth_fault_loop_impedance"
    terms = [Term(name, origin, "ohm")]
    for number in range(len(lines) - 1, -1, -1):
        start = "distribution_" if number else ""
        terms.append(Term(f"{start}line_conductor_resistance", lines[number], "ohm"))
        if returns:
            terms.append(Term(f"{start}protective_conductor_resistance", returns[number], "ohm"))
    return terms


def origin_impedance(house: Installation, circuit: Circuit) -> tuple[float, bool]:
    """The part of a circuit's loop outside its cables in ohm, and whether that is an electrode.

    *Raises* MissingFactError.
    """
    item = charger_with_own_earth(house, circuit)
    if item is not None and item.charger is not None:
        electrode = item.charger.electrode_resistance_ohm
        if electrode is None:
            raise MissingFactError(f"equipment.{item.id}.charger.electrode_resistance_ohm")
        return electrode, True
    system = house.supply.earthing_system
    if system is None:
        raise MissingFactError("supply.earthing_system")
    if system is EarthingSystem.TT:
        electrode = house.earthing.electrode_resistance_ohm
        if electrode is None:
            raise MissingFactError("earthing.electrode_resistance_ohm")
        return electrode, True
    external = house.supply.external_earth_fault_loop_impedance_ohm
    if external is None:
        raise MissingFactError("supply.external_earth_fault_loop_impedance_ohm")
    return external, False


def line_conductor_ohm(circuit: Circuit, limits: Limits) -> float:
    """R1 of one circuit at the operating temperature of its conductors, in ohm.

    R = r20 * (1 + alpha * (t - 20)) * L; in a ring a quarter of it. *Raises* MissingFactError.
    """
    cable = cable_of(circuit)
    return _copper(circuit, cable, cable.cross_section_mm2, "cross_section_mm2", limits)


def protective_conductor_ohm(circuit: Circuit, limits: Limits) -> float:
    """R2 of one circuit at operating temperature, in ohm: of the conductor, or of the armour.

    *Raises* MissingFactError.
    """
    cable = cable_of(circuit)
    if cable.protective_conductor_mm2 is None:
        return _armour(circuit, cable, limits)
    return _copper(circuit, cable, cable.protective_conductor_mm2, "protective_conductor_mm2", limits)


def cable_of(circuit: Circuit) -> Cable:
    """The circuit's cable. *Raises* MissingFactError."""
    if circuit.cable is None:
        raise MissingFactError(f"circuits.{circuit.id}.cable")
    return circuit.cable


def effective_length_m(circuit: Circuit, cable: Cable) -> float:
    """The length that counts for resistance: in a ring a quarter of the cable."""
    return cable.length_m / _RING_SHARE if circuit.ring else cable.length_m


_RING_SHARE = 4
"""Each leg of a ring to its midpoint is half the cable, and the two legs are in parallel."""


def conductor_temperature_c(cable: Cable, limits: Limits) -> float:
    """The operating temperature on which a cable's design rests: its own, unless terminals limit it."""
    own = limits.overcurrent.conductor_temperature_c[cable.type].value
    stated = cable.conductor_temperature_c
    return own if stated is None else min(own, stated)


def at_temperature(ohm: float, coefficient_per_k: float, temperature_c: float, limits: Limits) -> float:
    """A resistance known at 20 C, at another temperature."""
    return ohm * (1 + coefficient_per_k * (temperature_c - limits.earthing.resistance_temperature_c.value))


def _copper(circuit: Circuit, cable: Cable, size_mm2: float, attribute: str, limits: Limits) -> float:
    warm = _copper_milliohm_per_m(limits, size_mm2, conductor_temperature_c(cable, limits))
    if warm is None:
        raise MissingFactError(f"circuits.{circuit.id}.cable.{attribute}")
    return warm * effective_length_m(circuit, cable) / PER_MILLI


@remembered
def _copper_milliohm_per_m(limits: Limits, size_mm2: float, temperature_c: float) -> float | None:
    """The resistance of a copper conductor at a temperature, in milliohm/m; None outside the table."""
    earthing = limits.earthing
    cold = lookup(earthing.conductor_resistance).rows.get((size_mm2,))
    if cold is None:
        return None
    return at_temperature(cold, earthing.copper_temperature_coefficient_per_k.value, temperature_c, limits)


def _armour(circuit: Circuit, cable: Cable, limits: Limits) -> float:
    if cable.type not in ARMOURED:
        raise MissingFactError(f"circuits.{circuit.id}.cable.protective_conductor_mm2")
    earthing = limits.earthing
    cold = armour_milliohm_per_m(circuit, cable, limits)
    warm_c = conductor_temperature_c(cable, limits) - earthing.armour_cooler_k.value
    warm = at_temperature(cold, earthing.steel_temperature_coefficient_per_k.value, warm_c, limits)
    return warm * effective_length_m(circuit, cable) / PER_MILLI


def armour_milliohm_per_m(circuit: Circuit, cable: Cable, limits: Limits) -> float:
    """The resistance of a cable's armour at 20 C, in milliohm/m. *Raises* MissingFactError."""
    earthing = limits.earthing
    key = (float(circuit.live_conductors), cable.cross_section_mm2)
    cold = lookup(earthing.armour_resistance).rows.get(key)
    if cold is None:
        cold = lookup(earthing.armour_resistance_large).rows.get(key)
    if cold is None:
        raise MissingFactError(f"circuits.{circuit.id}.cable.cross_section_mm2")
    return cold
