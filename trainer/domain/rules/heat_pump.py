"""Heat pumps and other motors: starting current, and the limits of the maker's sheet."""

from __future__ import annotations

from trainer.domain.calculations.currents import circuit_current_a
from trainer.domain.calculations.disconnection import non_tripping_multiple
from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.devices import Device
from trainer.domain.equipment import Equipment, EquipmentKind
from trainer.domain.findings import Verdict, at_least, at_most, holds, undetermined, within
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.registry import Over, Rule, rule
from trainer.domain.vocabulary import Consequence, DeviceKind, Outcome


@rule("HP-04", over=Over.EQUIPMENT, consequence=Consequence.NUISANCE, objectives=("LO35",))
def starting_current_below_instantaneous_range(item: Equipment, house: Installation, limits: Limits) -> Verdict | None:
    """A motor's starting current stays below the range in which its circuit-breaker may act at once.

    Why: a compressor started direct on line draws several times its rated current for a moment.
    Remedy: curve C or D, and the maximum impedance checked again; or a soft or inverter start.
    Assumes: inverter-driven compressors start without a surge; a fuse rides through it.
    Formula: starting current <= lower end of the instantaneous range * In
    """
    motor = item.motor
    if motor is None:
        return None
    if not motor.direct_on_line:
        return holds(True, case="inverter_driven")
    device = house.overcurrent_device(house.circuits[item.circuit])
    if device is None or device.kind is DeviceKind.FUSE:
        return None
    if motor.starting_current_a is None:
        return undetermined(f"equipment.{item.id}.motor.starting_current_a")
    if device.curve is None:
        return undetermined(f"devices.{device.id}.curve")
    rides_through = non_tripping_multiple(device.curve, limits) * device.rated_current_a
    related = (f"devices.{device.id}",)
    return at_most(
        motor.starting_current_a,
        rides_through,
        unit="A",
        case="direct_on_line",
        related=related,
        otherwise=Outcome.ADVICE,
    )


@rule("HP-05", over=Over.EQUIPMENT, consequence=Consequence.FIRE, objectives=("LO34", "LO35"))
def limits_of_the_makers_sheet(item: Equipment, house: Installation, _limits: Limits) -> Verdict | None:
    """The overcurrent device of a heat pump lies within what its sheet allows, also in a full enclosure.

    Why: the maker's tests hold for that device; and devices side by side that carry full load for
    hours heat one another.
    Remedy: a device within the sheet's limits, on a cable to match; more room between devices.
    Assumes: the assembly's rated diversity factor where its maker states one.
    Formula: minimum circuit current <= In <= maximum overcurrent device; Ib <= In * rated diversity factor
    """
    if item.kind is not EquipmentKind.HEAT_PUMP:
        return None
    device = house.overcurrent_device(house.circuits[item.circuit])
    if device is None:
        return None
    sheet = _by_the_sheet(item, device)
    if sheet is not None and sheet.outcome is not Outcome.COMPLIES:
        return sheet
    full = _in_full_enclosure(item, house, device)
    if sheet is None or (full is not None and full.outcome is not Outcome.COMPLIES):
        return full
    return sheet


def _by_the_sheet(item: Equipment, device: Device) -> Verdict | None:
    """The device against the sheet's two limits; None where the sheet has neither."""
    rated, related = device.rated_current_a, (f"devices.{device.id}",)
    most, least = item.maker_maximum_overcurrent_device_a, item.maker_minimum_circuit_current_a
    if least is not None and (most is None or not within(least, rated)):
        return at_least(rated, least, unit="A", case="minimum_circuit_current", related=related)
    return None if most is None else at_most(rated, most, unit="A", case="maximum_device", related=related)


def _in_full_enclosure(item: Equipment, house: Installation, device: Device) -> Verdict | None:
    """The device's load against its rating in the assembly; None where the assembly states no factor."""
    factor = house.boards[device.board].rated_diversity_factor
    if factor is None:
        return None
    try:
        load = circuit_current_a(item, house.supply.nominal_voltage_to_earth_v)
    except MissingFactError as gap:
        return undetermined(*gap.paths)
    allowed, related = device.rated_current_a * factor, (f"devices.{device.id}",)
    return at_most(load, allowed, unit="A", case="rated_diversity", related=related)


RULES: tuple[Rule, ...] = (starting_current_below_instantaneous_range, limits_of_the_makers_sheet)
