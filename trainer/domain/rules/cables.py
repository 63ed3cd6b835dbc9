"""Cables: correction factors, insulation, terminals, voltage drop."""

from __future__ import annotations

from trainer.domain.cables import CableType, Circuit
from trainer.domain.calculations.cable_rating import current_carrying_capacity
from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.calculations.loops import conductor_temperature_c
from trainer.domain.calculations.voltage_drop import maximum_voltage_drop_v, voltage_drop_v
from trainer.domain.findings import Verdict, at_most, holds, undetermined, within
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.registry import Over, Rule, rule
from trainer.domain.vocabulary import Consequence


@rule("OC-08", over=Over.CIRCUITS, consequence=Consequence.EQUIPMENT, objectives=("LO31",))
def voltage_drop_within_limits(circuit: Circuit, house: Installation, limits: Limits) -> Verdict | None:
    """The voltage drop from the origin to the end of a final circuit stays within the share allowed.

    Why: lamps flicker, motors and electronics run hot or drop out at low voltage.
    Remedy: a larger or shorter cable, or less current in it.
    Assumes: a public supply; conductors at full temperature carrying the design current at unity power
    factor; a three-phase circuit loaded alike on its lines, so that its neutral drops nothing.
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


@rule("OC-09", over=Over.CIRCUITS, consequence=Consequence.FIRE, objectives=("LO26", "LO32"))
def tabulated_rating_after_correction(circuit: Circuit, house: Installation, limits: Limits) -> Verdict | None:
    """A cable that is grouped, warm or buried keeps the rating of its device after correction.

    Why: the tables hold for one circuit, alone, in air at 30 C or in ground at 20 C; heat that
    cannot leave adds to the conductor's own.
    Remedy: a larger cable, circuits spaced apart, a cooler route, or a lower device.
    Assumes: the row of the table on the stricter side of a value in between; a buried cable takes
    the factors of the ground, never that of air.
    Formula: It >= In / (Ca * Cg * Cc); thermal insulation is judged by its own rule
    """
    device = house.overcurrent_device(circuit)
    if device is None or circuit.cable is None or circuit.ring:
        return None
    try:
        rating = current_carrying_capacity(circuit, limits)
    except MissingFactError as gap:
        return undetermined(*gap.paths)
    rated, corrected = device.rated_current_a, rating.before_insulation_a
    if corrected == rating.tabulated_a or not within(rated, rating.tabulated_a):
        return None
    case = "in_ground" if rating.buried_factor != 1 else "in_air"
    return at_most(rated, corrected, unit="A", terms=rating.terms, case=case, related=(f"devices.{device.id}",))


@rule("OC-10", over=Over.CIRCUITS, consequence=Consequence.FIRE, objectives=("LO26", "LO32"))
def rating_within_thermal_insulation(circuit: Circuit, house: Installation, limits: Limits) -> Verdict | None:
    """A cable surrounded by thermal insulation keeps the rating of its device at its reduced rating.

    Why: insulation holds the heat of the conductor; from half a metre on only half the rating is left.
    Remedy: the cable at the surface of a joist or on plasterboard, a larger cable, or a lower device.
    Assumes: methods 100 to 103 and A count the insulation in their tabulated rating.
    Formula: In <= It * Ca * Cg * Ci, Ci = 0.5 from 500 mm on
    """
    device = house.overcurrent_device(circuit)
    if device is None or circuit.cable is None or circuit.ring:
        return None
    if not circuit.cable.insulation_contact_mm:
        return None
    try:
        rating = current_carrying_capacity(circuit, limits)
    except MissingFactError as gap:
        return undetermined(*gap.paths)
    rated = device.rated_current_a
    if not within(rated, rating.before_insulation_a):
        return None
    case = "in_table" if rating.insulation_factor == 1 else "insulation_factor"
    related = (f"devices.{device.id}",)
    return at_most(rated, rating.capacity_a, unit="A", terms=rating.terms, case=case, related=related)


@rule("OC-11", over=Over.CIRCUITS, consequence=Consequence.FIRE, objectives=("LO32",))
def conductor_temperature_within_terminals(circuit: Circuit, house: Installation, limits: Limits) -> Verdict | None:
    """A 90 C cable runs no hotter than the terminals at its ends are made for.

    Why: terminals and accessories for 70 C discolour and loosen on conductors at 90 C.
    Remedy: the cable rated at 70 C, or terminals that their maker declares for 90 C.
    Assumes: terminals for 70 C where no maker says more; the conductor stays at 70 C when its
    device does not exceed the 70 C rating.
    Formula: conductor temperature <= terminals, or In <= Iz at the terminals' temperature
    """
    cable = circuit.cable
    if cable is None or cable.type is not CableType.ARMOURED_THERMOSETTING_90:
        return None
    stated = cable.terminals_temperature_c
    terminals = limits.overcurrent.ordinary_terminals_c.value if stated is None else stated
    design = conductor_temperature_c(cable, limits)
    case = "ordinary_terminals" if stated is None else "declared_terminals"
    if within(design, terminals):
        return at_most(design, terminals, unit="deg C", case=case)
    device = house.overcurrent_device(circuit)
    if device is not None:
        try:
            cool = current_carrying_capacity(circuit, limits, at_most_c=terminals)
        except MissingFactError as gap:
            return undetermined(*gap.paths)
        if within(device.rated_current_a, cool.capacity_a):
            rated, capacity = device.rated_current_a, cool.capacity_a
            return holds(True, value=rated, limit=capacity, unit="A", terms=cool.terms, case="cool_enough")
    return at_most(design, terminals, unit="deg C", case=case)


RULES: tuple[Rule, ...] = (
    voltage_drop_within_limits,
    tabulated_rating_after_correction,
    rating_within_thermal_insulation,
    conductor_temperature_within_terminals,
)
