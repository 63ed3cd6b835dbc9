"""Overcurrent protection and disconnection: coordination, maximum Zs, times, breaking capacity."""

from __future__ import annotations

from trainer.domain.cables import Cable, Circuit
from trainer.domain.calculations.cable_rating import Rating, current_carrying_capacity
from trainer.domain.calculations.demand import LINES, design_current_a
from trainer.domain.calculations.disconnection import (
    TN,
    TT,
    is_rewirable,
    lenient_impedance_ohm,
    maximum_disconnection_time_s,
    maximum_impedance_ohm,
    overcurrent_time_s,
)
from trainer.domain.calculations.facts import MissingFactError, unless_open
from trainer.domain.calculations.fault_current import prospective_fault_current_ka
from trainer.domain.calculations.loops import earth_fault_loop_impedance
from trainer.domain.calculations.paths import charger_with_own_earth
from trainer.domain.calculations.residual import fastest_residual_device, largest_loop_by_residual_device
from trainer.domain.devices import Board, Device
from trainer.domain.equipment import ChargerEarthing
from trainer.domain.findings import Term, Terms, Verdict, at_least, at_most, holds, total, undetermined, within
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.paths import circuit_of, equipment_beyond
from trainer.domain.rules.registry import Over, Rule, rule
from trainer.domain.vocabulary import Consequence, DeviceKind, EarthingSystem, Outcome


@rule("OC-01", over=Over.CIRCUITS, consequence=Consequence.FIRE, objectives=("LO26", "LO13"))
def coordination_of_load_device_and_cable(circuit: Circuit, house: Installation, limits: Limits) -> Verdict | None:
    """The rated current of the protective device lies between design current and cable capacity.

    Why: a device below the design current trips in normal service; a cable below the device is
    overheated for hours before anything trips.
    Remedy: a device rating between the two, a larger cable, or better conditions for the cable.
    Assumes: a circuit of socket-outlets may be loaded up to its device. A ring final circuit
    needs the capacity and the conductors that the regulation names, not the capacity of its device.
    A distribution circuit also carries what all sources beyond it send back on one line, loads off.
    Formula: Ib <= In <= Iz, Iz = It * Ca * Cg * Ci * Cc; for a rewirable fuse In <= 0.725 * Iz
    """
    device = house.overcurrent_device(circuit)
    if device is None:
        return _by_service_fuse(circuit, house, limits)
    return _coordinated(circuit, house, limits, device.rated_current_a, device)


def _by_service_fuse(circuit: Circuit, house: Installation, limits: Limits) -> Verdict:
    """A circuit without a device of its own has only the network operator's fuse before it."""
    rated = house.supply.fuse_rated_current_a
    if rated is None:
        return undetermined("supply.fuse_rated_current_a", case="service_fuse")
    return _coordinated(circuit, house, limits, rated, None)


def _coordinated(circuit: Circuit, house: Installation, limits: Limits, rated: float, device: Device | None) -> Verdict:
    related = (f"devices.{device.id}",) if device is not None else ("supply",)
    sent, sources = _sent_back_a(circuit, house)
    if not within(sent, rated):
        return at_most(sent, rated, unit="A", terms=lambda: sources, case="sources_beyond", related=related)
    try:
        design, terms = design_current_a(house, circuit, limits)
        if not within(design, rated):
            return at_most(design, rated, unit="A", terms=terms, case="design_current", related=related)
        cable = current_carrying_capacity(circuit, limits)
    except MissingFactError as gap:
        return undetermined(*gap.paths)
    capacity, case = cable.capacity_a, "cable" if device is not None else "service_fuse"
    if circuit.ring and circuit.cable is not None:
        return _ring(circuit.cable, cable, rated, limits, related)
    if device is not None and is_rewirable(device):
        capacity, case = capacity * limits.overcurrent.rewirable_factor.value, "rewirable_fuse"
    return at_most(
        rated,
        capacity,
        unit="A",
        terms=lambda: (Term("design_current", design, "A"), *cable.terms()),
        case=case,
        related=related,
    )


def _sent_back_a(circuit: Circuit, house: Installation) -> tuple[float, tuple[Term, ...]]:
    """What the sources beyond a distribution circuit send through it on the worst line, and each of them."""
    if house.is_final(circuit) or not house.sources():
        return 0, ()
    beyond = [item for item in equipment_beyond(house, circuit) if item.source is not None]
    best: tuple[float, tuple[Term, ...]] = (0, ())
    for line in LINES:
        terms = tuple(
            Term(item.id, item.source.rated_current_a, "A")
            for item in beyond
            if item.source is not None and (circuit_of(house, item).phases > 1 or circuit_of(house, item).line == line)
        )
        sent = total(term.value for term in terms)
        if sent > best[0]:
            best = (sent, terms)
    return best


def _ring(cable: Cable, rating: Rating, rated: float, limits: Limits, related: tuple[str, ...]) -> Verdict:
    """A ring final circuit: what the regulation names for its conductors, its cable and its device."""
    size, least = cable.cross_section_mm2, limits.overcurrent.ring_conductor_mm2
    if not within(least.value, size):
        return Verdict(
            outcome=Outcome.DOES_NOT_COMPLY, value=size, limit=least.value, unit=least.unit, case="ring_conductor",
            related=related, citation=least.citation,
        )  # fmt: skip
    capacity, needed = rating.capacity_a, limits.overcurrent.ring_cable_a.value
    ring = rated <= limits.overcurrent.ring_device_a.value and within(needed, capacity)
    return holds(ring, value=capacity, limit=needed, unit="A", terms=rating.terms, case="ring", related=related)


@rule("OC-02", over=Over.CIRCUITS, consequence=Consequence.SHOCK, objectives=("LO27",))
def loop_low_enough_for_the_overcurrent_device(circuit: Circuit, house: Installation, limits: Limits) -> Verdict | None:
    """In TN the earth fault loop impedance lets the overcurrent device disconnect within the time allowed.

    Why: a device that sees too little fault current leaves exposed parts live until it warms up.
    Remedy: a lower curve or rating, a larger or shorter cable; a residual current device may take
    over fault protection.
    Assumes: conductors at their operating temperature. In TT the residual current device is the
    measure and this rule is silent.
    Formula: Zs <= U0 * Cmin / Ia, Zs = Ze + R1 + R2; by a residual current device Zs <= 50 V / I-delta-n
    """
    if charger_with_own_earth(house, circuit) is not None:
        return None
    if house.supply.earthing_system is EarthingSystem.TT:
        return None
    device = house.overcurrent_device(circuit)
    if device is None:
        return None
    try:
        return _maximum_impedance(circuit, house, limits, device)
    except MissingFactError as gap:
        return undetermined(*gap.paths)


def _maximum_impedance(circuit: Circuit, house: Installation, limits: Limits, device: Device) -> Verdict:
    voltage = house.supply.nominal_voltage_to_earth_v
    allowed_s = maximum_disconnection_time_s(house, circuit, device.rated_current_a, TN, limits)
    limit = maximum_impedance_ohm(device, allowed_s, voltage, limits)
    ohm, terms = earth_fault_loop_impedance(house, circuit, limits)
    case = "fuse_table" if device.kind is DeviceKind.FUSE else "breaker_table"
    if not within(ohm, limit):
        by_rcd = _by_residual_device(circuit, house, limits, ohm, terms)
        if by_rcd is not None:
            return by_rcd
        lenient = lenient_impedance_ohm(device, allowed_s, voltage, limits)
        if lenient is not None and within(ohm, lenient):
            return _disputed(device, limits, ohm, lenient, terms)
    return at_most(ohm, limit, unit="ohm", terms=terms, case=case, related=(f"devices.{device.id}",))


def _by_residual_device(
    circuit: Circuit, house: Installation, limits: Limits, ohm: float, terms: Terms
) -> Verdict | None:
    """Fault protection by a residual current device, where the overcurrent device cannot give it."""
    best = largest_loop_by_residual_device(house, circuit, limits)
    if best is None:
        return None
    if not within(ohm, best.impedance_ohm):
        unless_open(best.open_fact)
        return None
    related = (f"devices.{best.device.id}",)
    return at_most(ohm, best.impedance_ohm, unit="ohm", terms=terms, case="by_rcd", related=related)


def _disputed(device: Device, limits: Limits, ohm: float, lenient: float, terms: Terms) -> Verdict:
    """Curve D at the longer time, where published tables disagree on the impedance."""
    return Verdict(
        outcome=Outcome.ADVICE,
        value=ohm,
        limit=lenient,
        unit="ohm",
        terms=terms,
        case="disputed_table",
        related=(f"devices.{device.id}",),
        citation=limits.overcurrent.maximum_impedance_breaker_d_5_s.citation,
    )


@rule("OC-04", over=Over.CIRCUITS, consequence=Consequence.SHOCK, objectives=("LO27", "LO05"))
def disconnection_in_time(circuit: Circuit, house: Installation, limits: Limits) -> Verdict | None:
    """A fault to earth of negligible impedance is disconnected within the time allowed for the circuit.

    Why: the time allowed is what a person who touches an exposed part at that moment can bear.
    Remedy: a residual current device that acts at the current which the earth path lets flow.
    Assumes: the fault current that actually flows, not a tester's current; break times at the upper
    end of what the product standards allow.
    Formula: I = U0 / Zs in TN, U0 / (RA + R1) in TT; t(I) <= 0.4 s or 5 s in TN, 0.2 s or 1 s in TT at 230 V
    """
    item = charger_with_own_earth(house, circuit)
    if item is not None and item.charger is not None and item.charger.earthing is ChargerEarthing.ELECTRICAL_SEPARATION:
        return None
    device = house.overcurrent_device(circuit)
    if device is None:
        return None
    system = house.supply.earthing_system if item is None else EarthingSystem.TT
    try:
        return _in_time(circuit, house, limits, device, TT if system is EarthingSystem.TT else TN)
    except MissingFactError as gap:
        return undetermined(*gap.paths)


def _in_time(circuit: Circuit, house: Installation, limits: Limits, device: Device, system: str) -> Verdict | None:
    allowed_s = maximum_disconnection_time_s(house, circuit, device.rated_current_a, system, limits)
    voltage = house.supply.nominal_voltage_to_earth_v
    ohm, terms = earth_fault_loop_impedance(house, circuit, limits)
    promised_s = overcurrent_time_s(device, ohm, voltage, limits)
    if promised_s is not None and within(promised_s, allowed_s):
        related = (f"devices.{device.id}",)
        return at_most(promised_s, allowed_s, unit="s", terms=terms, case="by_overcurrent_device", related=related)
    fastest = fastest_residual_device(house, circuit, voltage / ohm, limits)
    if fastest is None:
        no_measure = Verdict(outcome=Outcome.DOES_NOT_COMPLY, limit=allowed_s, unit="s", terms=terms, case="no_rcd")
        return no_measure if system == TT else None
    related = (f"devices.{fastest.device.id}",)
    if fastest.break_time_s is None or not within(fastest.break_time_s, allowed_s):
        unless_open(fastest.open_fact)
    if fastest.break_time_s is None:
        return at_least(voltage / ohm, fastest.rating_a, unit="A", terms=terms, case="below_rating", related=related)
    return at_most(fastest.break_time_s, allowed_s, unit="s", terms=terms, case="by_rcd", related=related)


@rule("OC-07", over=Over.DEVICES, consequence=Consequence.FIRE, objectives=("LO30",))
def breaking_capacity(device: Device, house: Installation, limits: Limits) -> Verdict | None:
    """The breaking capacity of an overcurrent device is not below the prospective fault current where it sits.

    Why: a device that interrupts more than it was made for may burst or weld.
    Remedy: a device of higher breaking capacity; in a single-phase supply up to 100 A a consumer
    unit to BS EN 61439-3 with a conditional rating of 16 kA.
    Assumes: the conditional rating covers single-phase supplies only.
    Formula: Icn >= Ipf, I = U0 / sqrt(Z^2 + R^2) at a board beyond a distribution circuit
    """
    if not device.breaks_overcurrent:
        return None
    board = house.boards[device.board]
    if _covered_by_assembly(board, house, limits):
        rating = board.conditional_rating_ka
        stated = house.supply.prospective_fault_current_ka
        value = limits.overcurrent.conditional_rating_ka.value if stated is None else stated
        related = (f"boards.{board.id}",)
        return holds(True, value=value, limit=rating, unit="kA", case="conditional_rating", related=related)
    capacity = device.breaking_capacity_ka
    if capacity is None:
        return undetermined(f"devices.{device.id}.breaking_capacity_ka")
    try:
        prospective = prospective_fault_current_ka(house, board, limits)
    except MissingFactError as gap:
        return undetermined(*gap.paths)
    return at_most(prospective, capacity, unit="kA", case="own_capacity", related=("supply",))


def _covered_by_assembly(board: Board, house: Installation, limits: Limits) -> bool:
    """True where a consumer unit's conditional rating covers every device in it."""
    supply = house.supply
    overcurrent = limits.overcurrent
    needed = overcurrent.conditional_rating_ka.value
    rating, fuse = board.conditional_rating_ka, supply.fuse_rated_current_a
    if rating is None or rating < needed or supply.phases > 1:
        return False
    if fuse is None or fuse > overcurrent.conditional_supply_fuse_a.value:
        return False
    stated = supply.prospective_fault_current_ka
    return stated is None or within(stated, needed)


RULES: tuple[Rule, ...] = (
    coordination_of_load_device_and_cable,
    loop_low_enough_for_the_overcurrent_device,
    disconnection_in_time,
    breaking_capacity,
)
