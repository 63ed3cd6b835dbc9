"""What conductors withstand while a fault lasts: live and protective conductors."""

from __future__ import annotations

from trainer.domain.cables import Cable, Circuit
from trainer.domain.calculations.adiabatic import (
    energy_a2s,
    least_by_breaker_mm2,
    let_through_a2s,
    live_conductor_k,
    protective_conductor,
    tabulated_protective_conductor_mm2,
    withstanding_mm2,
)
from trainer.domain.calculations.cable_rating import current_carrying_capacity
from trainer.domain.calculations.facts import PER_MILLI, MissingFactError, unless_open
from trainer.domain.calculations.loops import cable_of, earth_fault_loop_impedance
from trainer.domain.calculations.residual import fastest_residual_device
from trainer.domain.calculations.short_circuit import least_short_circuit_current_a
from trainer.domain.devices import Device
from trainer.domain.findings import Term, Verdict, at_least, holds, undetermined, within
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.registry import Over, Rule, rule
from trainer.domain.vocabulary import Consequence, Outcome


@rule("OC-05", over=Over.CIRCUITS, consequence=Consequence.FIRE, objectives=("LO29", "LO30"))
def live_conductors_withstand_a_fault(circuit: Circuit, house: Installation, limits: Limits) -> Verdict | None:
    """The live conductors of a circuit withstand a short circuit until the device before them clears it.

    Why: insulation that was heated beyond its limit for a moment is damaged for good.
    Remedy: a device that also protects against overload, a quicker device, or a larger cable.
    Assumes: a device that protects the cable against overload protects it against faults, too
    (435.1), and so does that of a ring by the ring's own condition; otherwise a fault at the far end,
    where the current is least.
    Formula: S >= sqrt(I^2 t) / k
    """
    device = house.overcurrent_device(circuit)
    if device is None:
        return None
    try:
        cable = cable_of(circuit)
        capacity = current_carrying_capacity(circuit, limits).capacity_a
        rated = device.rated_current_a
        related = (f"devices.{device.id}",)
        if within(rated, capacity):
            return holds(True, value=rated, limit=capacity, unit="A", case="overload_device", related=related)
        if _ring_is_protected(circuit, rated, capacity, limits):
            return _by_the_rings_condition(rated, capacity, limits, related)
        return _short_circuit(circuit, cable, house, limits, device)
    except MissingFactError as gap:
        return undetermined(*gap.paths)


def _ring_is_protected(circuit: Circuit, rated: float, capacity: float, limits: Limits) -> bool:
    overcurrent = limits.overcurrent
    return (
        circuit.ring
        and within(rated, overcurrent.ring_device_a.value)
        and within(overcurrent.ring_cable_a.value, capacity)
    )


def _by_the_rings_condition(rated: float, capacity: float, limits: Limits, related: tuple[str, ...]) -> Verdict:
    """A ring whose cable carries what the regulation on rings names, not the rating of its device."""
    needed = limits.overcurrent.ring_cable_a
    return Verdict(
        outcome=Outcome.COMPLIES, value=capacity, limit=needed.value, unit=needed.unit, case="ring", related=related,
        terms=(Term("device_rating", rated, "A"),), citation=needed.citation,
    )  # fmt: skip


def _short_circuit(circuit: Circuit, cable: Cable, house: Installation, limits: Limits, device: Device) -> Verdict:
    current, terms = least_short_circuit_current_a(house, circuit, limits)
    energy = let_through_a2s(device, current, limits)
    related = (f"devices.{device.id}",)
    if energy is None:
        return Verdict(
            outcome=Outcome.DOES_NOT_COMPLY, value=current, unit="A", terms=terms, case="not_cleared", related=related
        )
    needed = withstanding_mm2(energy, live_conductor_k(cable, limits))
    return at_least(
        cable.cross_section_mm2,
        needed,
        unit="mm2",
        terms=lambda: (Term("fault_current", current, "A"), Term("energy", energy, "A2s")),
        case="adiabatic",
        related=related,
    )


@rule("OC-06", over=Over.CIRCUITS, consequence=Consequence.FIRE, objectives=("LO29",))
def protective_conductor_large_enough(circuit: Circuit, house: Installation, limits: Limits) -> Verdict | None:
    """The protective conductor of a circuit withstands an earth fault until it is disconnected.

    Why: it carries the whole fault current, often in a smaller cross-section than the line.
    Remedy: a larger protective conductor, or a device that lets less energy through.
    Assumes: a fault at the far end; below a circuit-breaker of energy limiting class 3 the sizes of
    guidance hold up to 3 kA; a residual current device shortens the fault.
    Formula: S >= Table 54.7, or S >= sqrt(I^2 t) / k with I = U0 / Zs
    """
    try:
        cable = cable_of(circuit)
        size = cable.protective_conductor_mm2
        if size is not None:
            by_table = tabulated_protective_conductor_mm2(cable.cross_section_mm2, limits)
            if within(by_table, size):
                return at_least(size, by_table, unit="mm2", case="table")
        device = house.overcurrent_device(circuit)
        return None if device is None else _earth_fault(circuit, cable, house, limits, device)
    except MissingFactError as gap:
        return undetermined(*gap.paths)


def _earth_fault(circuit: Circuit, cable: Cable, house: Installation, limits: Limits, device: Device) -> Verdict | None:
    size, k = protective_conductor(circuit, cable, limits)
    current = house.supply.nominal_voltage_to_earth_v / earth_fault_loop_impedance(house, circuit, limits)[0]
    energy = let_through_a2s(device, current, limits)
    case, related = "adiabatic", (f"devices.{device.id}",)
    if energy is None or not within(withstanding_mm2(energy, k), size):
        by_guidance = least_by_breaker_mm2(device, limits)
        if energy is not None and by_guidance is not None and _within_guidance(size, by_guidance, current, limits):
            return at_least(size, by_guidance, unit="mm2", case="breaker_table", related=related)
        fastest = fastest_residual_device(house, circuit, current, limits)
        if fastest is not None and fastest.break_time_s is not None:
            energy = energy_a2s(current, fastest.break_time_s)
            case, related = "by_rcd", (f"devices.{fastest.device.id}",)
        if fastest is not None and (energy is None or not within(withstanding_mm2(energy, k), size)):
            unless_open(fastest.open_fact)
    if energy is None:
        return None
    let_through = energy
    return at_least(
        size,
        withstanding_mm2(energy, k),
        unit="mm2",
        terms=lambda: (Term("fault_current", current, "A"), Term("energy", let_through, "A2s"), Term("k", k, "")),
        case=case,
        related=related,
    )


def _within_guidance(size: float, by_guidance: float, current: float, limits: Limits) -> bool:
    most = limits.earthing.by_breaker_fault_current_ka.value * PER_MILLI
    return within(by_guidance, size) and within(current, most)


RULES: tuple[Rule, ...] = (live_conductors_withstand_a_fault, protective_conductor_large_enough)
