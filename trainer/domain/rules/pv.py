"""PV: point of connection, isolation, strings, frames."""

from __future__ import annotations

from enum import StrEnum

from trainer.domain.calculations.string_voltage import reverse_current_a, string_voltage_v, voltage_factor
from trainer.domain.equipment import Equipment, PvArray
from trainer.domain.findings import Term, Verdict, at_least, at_most, holds, total, undetermined, within
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.paths import circuit_of, circuit_path, equipment_path
from trainer.domain.rules.rcd_need import is_pv
from trainer.domain.rules.registry import Over, Rule, rule
from trainer.domain.vocabulary import Consequence, EarthingSystem, Outcome


class FrameEarthing(StrEnum):
    """``PvArray.frame_earthing``: what the metal frames of an array are connected to."""

    NONE = "none"
    BONDED = "bonded"
    PROTECTIVE_CONDUCTOR = "protective_conductor"
    FUNCTIONAL = "functional"


@rule("PV-02", over=Over.EQUIPMENT, consequence=Consequence.SHOCK, objectives=("LO20",))
def pv_before_the_protection_of_loads(item: Equipment, house: Installation, _limits: Limits) -> Verdict | None:
    """The cable of a PV inverter joins on the supply side of the devices that disconnect current-using equipment.

    Why: on a circuit that also feeds loads the array goes on feeding a fault after the device has opened.
    Remedy: a way of its own in the board.
    """
    if not is_pv(item):
        return None
    circuit = circuit_of(house, item)
    loads = circuit.socket_outlets or circuit.luminaires
    shared = loads or any(other.source is None for other in house.equipment_on(circuit))
    return holds(not shared, case="way_of_its_own", related=(circuit_path(circuit),))


@rule("PV-03", over=Over.EQUIPMENT, consequence=Consequence.FIRE, objectives=("LO20",))
def pv_cable_with_fault_protection(item: Equipment, house: Installation, _limits: Limits) -> Verdict | None:
    """The a.c. cable of a PV inverter has an overcurrent device where it joins the mains.

    Why: the mains feeds a short circuit of that cable with thousands of amps, whatever the inverter does.
    Remedy: an overcurrent device at the board's end of the cable.
    """
    if not is_pv(item):
        return None
    circuit = circuit_of(house, item)
    device = house.overcurrent_device(circuit)
    return holds(device is not None, case="overcurrent_device", related=(circuit_path(circuit),))


@rule("PV-04", over=Over.EQUIPMENT, consequence=Consequence.SHOCK, objectives=("LO18",))
def inverter_isolated_on_both_sides(item: Equipment, _house: Installation, _limits: Limits) -> Verdict | None:
    """A PV inverter can be isolated on its a.c. side, and on its d.c. side by a switch-disconnector.

    Why: whoever opens it is met by two sources, and a plug pulled under direct current burns.
    Remedy: an isolator on the a.c. side, a d.c. switch-disconnector between array and inverter.
    """
    source = item.source
    if source is None or not is_pv(item):
        return None
    path = f"{equipment_path(item)}.source"
    for name, present in (("isolator_ac", source.isolator_ac), ("isolator_dc", source.isolator_dc)):
        if present is None:
            return undetermined(f"{path}.{name}")
        if not present:
            return holds(False, case=name)
    return holds(True, case="both_sides")


def _highest_voltage(array: PvArray, limits: Limits) -> tuple[float, float]:
    """UocMAX in V, and the factor on the open-circuit voltage: the tabulated one where data are missing."""
    coefficient, coldest = array.voltage_coefficient_percent_per_k, array.minimum_temperature_c
    if coefficient is None or coldest is None:
        factor = limits.sources.voltage_factor_without_data.value
    else:
        factor = voltage_factor(coefficient, coldest, limits.sources.standard_test_temperature_c.value)
    return string_voltage_v(array.modules_in_series, array.open_circuit_voltage_v, factor), factor


def _voltage_terms(array: PvArray, factor: float) -> tuple[Term, ...]:
    return (
        Term("modules_in_series", array.modules_in_series, ""),
        Term("open_circuit_voltage", array.open_circuit_voltage_v, "V"),
        Term("voltage_factor", factor, ""),
    )


@rule("PV-05", over=Over.EQUIPMENT, consequence=Consequence.SHOCK, objectives=("LO16", "LO19"))
def array_protected_by_insulation(item: Equipment, _house: Installation, limits: Limits) -> Verdict | None:
    """The d.c. side of an array has double or reinforced insulation, or stays within extra-low voltage.

    Why: in light it cannot be switched off; insulation is the only protection it has.
    Remedy: modules, cables and connectors of class II.
    Formula: class II, or Ns * Uoc * KU <= 120 V
    """
    array = item.pv_array
    if array is None:
        return None
    if array.class_ii:
        return holds(True, case="class_ii")
    voltage, factor = _highest_voltage(array, limits)
    if array.class_ii is None and not within(voltage, limits.sources.extra_low_voltage_v.value):
        return undetermined(f"{equipment_path(item)}.pv_array.class_ii")
    return at_most(
        voltage,
        limits.sources.extra_low_voltage_v,
        terms=lambda: _voltage_terms(array, factor),
        case="extra_low_voltage",
    )


@rule("PV-06", over=Over.EQUIPMENT, consequence=Consequence.FIRE, objectives=("LO16",))
def string_voltage_in_the_cold(item: Equipment, _house: Installation, limits: Limits) -> Verdict | None:
    """The open-circuit voltage of a string on the coldest morning stays within what the inverter is made for.

    Why: modules give the more volts the colder they are; one bright frost at no load destroys an input.
    Remedy: fewer modules in series, or an input for a higher voltage.
    Assumes: the tabulated factor where coefficient or lowest temperature is not stated.
    Formula: Ns * Uoc * KU <= Umax, KU = 1 + |alpha| * (25 C - Tmin) / 100, or 1.2 without data
    """
    array = item.pv_array
    if array is None:
        return None
    allowed = array.maximum_input_voltage_v
    if allowed is None:
        return undetermined(f"{equipment_path(item)}.pv_array.maximum_input_voltage_v")
    voltage, factor = _highest_voltage(array, limits)
    return at_most(voltage, allowed, unit="V", terms=lambda: _voltage_terms(array, factor), case="string_voltage")


@rule("PV-07", over=Over.EQUIPMENT, consequence=Consequence.FIRE, objectives=("LO17",))
def strings_protected_from_each_other(item: Equipment, _house: Installation, limits: Limits) -> Verdict | None:
    """Where the other strings can send more into a faulted one than its modules bear, each string has fuses.

    Why: a shaded or shorted string is fed backwards by all its neighbours; its modules burn from inside.
    Remedy: a fuse in each pole of each string.
    Formula: fuses are needed when (Np - 1) * 1.25 * Isc > the modules' maximum overcurrent protection
    """
    array = item.pv_array
    if array is None:
        return None
    if array.strings_in_parallel == 1:
        return holds(True, value=array.strings_in_parallel, unit="strings", case="one_string")
    rating = array.module_maximum_overcurrent_protection_a
    if rating is None:
        return undetermined(f"{equipment_path(item)}.pv_array.module_maximum_overcurrent_protection_a")
    factor = limits.sources.highest_current_factor.value
    reverse = reverse_current_a(array.strings_in_parallel, array.short_circuit_current_a, factor)
    fitted = array.string_fuse_rated_current_a is not None
    if fitted and not within(reverse, rating):
        return holds(True, value=reverse, limit=rating, unit="A", case="fuses_fitted")
    return at_most(
        reverse,
        rating,
        unit="A",
        terms=lambda: (
            Term("strings_in_parallel", array.strings_in_parallel, ""),
            Term("short_circuit_current", array.short_circuit_current_a, "A"),
            Term("current_factor", factor, ""),
        ),
        case="reverse_current",
    )


@rule("PV-08", over=Over.EQUIPMENT, consequence=Consequence.FIRE, objectives=("LO17",))
def rating_of_string_fuses(item: Equipment, _house: Installation, limits: Limits) -> Verdict | None:
    """A string fuse is rated between what the string can deliver for hours and what its modules bear.

    Why: too small, it ages and opens on a bright day; too large, it never opens at all, since a
    string's short circuit is hardly above its normal current.
    Remedy: a rating inside the window of both publications.
    Assumes: two publications give different windows; the overlap is the key, and what the wider lower
    end alone allows is accepted.
    Formula: 1.5 * Isc <= In <= the lower of 2.4 * Isc and the modules' limit; from 1.375 * Isc accepted
    """
    array = item.pv_array
    if array is None or array.string_fuse_rated_current_a is None:
        return None
    fuse, factors = array.string_fuse_rated_current_a, limits.sources.string_fuse
    short = array.short_circuit_current_a
    most = total((factors["most"].value * short,))
    rating = array.module_maximum_overcurrent_protection_a
    if rating is not None:
        most = min(most, rating)
    if not within(fuse, most):
        return at_most(fuse, most, unit="A", case="above_the_window")
    if rating is None:
        return undetermined(f"{equipment_path(item)}.pv_array.module_maximum_overcurrent_protection_a")
    least = total((factors["least"].value * short,))
    if within(least, fuse):
        return at_least(fuse, least, unit="A", case="inside_both_windows")
    accepted = total((factors["least_accepted"].value * short,))
    case = "publications_differ" if within(accepted, fuse) else "below_the_window"
    return at_least(fuse, accepted, unit="A", case=case)


@rule("PV-09", over=Over.EQUIPMENT, consequence=Consequence.EQUIPMENT, objectives=("LO37",))
def small_loops_of_direct_current_cables(item: Equipment, _house: Installation, _limits: Limits) -> Verdict | None:
    """The two conductors of a string run close together, so that their loop is as small as it can be.

    Why: a loop round the roof catches the field of every near stroke of lightning.
    Remedy: run the positive and the negative conductor side by side.
    Assumes: no record shows the loop; this stays a matter to look at on site, and a word of advice.
    """
    if item.pv_array is None:
        return None
    return holds(False, case="look_on_site", otherwise=Outcome.ADVICE)


@rule("PV-10", over=Over.EQUIPMENT, consequence=Consequence.SHOCK, objectives=("LO19",))
def frames_of_the_array(item: Equipment, house: Installation, _limits: Limits) -> Verdict | None:
    """Frames that are extraneous are bonded, frames of class I modules are earthed, others are left alone under PME.

    Why: a frame that brings a voltage in or takes one up must be tied to the rest; a frame that does
    neither would only carry an open PEN's voltage out to the roof.
    Remedy: bond, earth or leave, as the frame asks for.
    Assumes: functional earthing for insulation monitoring is no protective measure and always open.
    """
    array = item.pv_array
    if array is None:
        return None
    path = f"{equipment_path(item)}.pv_array"
    for name, value in (
        ("frame_is_extraneous", array.frame_is_extraneous),
        ("frame_earthing", array.frame_earthing),
    ):
        if value is None:
            return undetermined(f"{path}.{name}")
    if array.frame_is_extraneous:
        return _frame(array, FrameEarthing.BONDED, "extraneous")
    if array.class_ii is None:
        return undetermined(f"{path}.class_ii")
    if not array.class_ii:
        earthed = array.frame_earthing in (FrameEarthing.PROTECTIVE_CONDUCTOR, FrameEarthing.BONDED)
        return holds(earthed, value=array.frame_earthing, limit=FrameEarthing.PROTECTIVE_CONDUCTOR, case="exposed")
    return _left_alone(array, house)


def _left_alone(array: PvArray, house: Installation) -> Verdict:
    """A frame that need not be earthed: under PME any earth but a functional one is advised against."""
    apart = array.frame_earthing in (FrameEarthing.NONE, FrameEarthing.FUNCTIONAL)
    system = house.supply.earthing_system
    if system is None and not apart:
        return undetermined("supply.earthing_system")
    under_pme = system is EarthingSystem.TN_C_S
    return holds(apart or not under_pme, value=array.frame_earthing, case="neither", otherwise=Outcome.ADVICE)


def _frame(array: PvArray, wanted: FrameEarthing, case: str) -> Verdict:
    return holds(array.frame_earthing == wanted, value=array.frame_earthing, limit=wanted, case=case)


RULES: tuple[Rule, ...] = (
    pv_before_the_protection_of_loads,
    pv_cable_with_fault_protection,
    inverter_isolated_on_both_sides,
    array_protected_by_insulation,
    string_voltage_in_the_cold,
    strings_protected_from_each_other,
    rating_of_string_fuses,
    small_loops_of_direct_current_cables,
    frames_of_the_array,
)
