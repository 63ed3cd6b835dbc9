"""Sources in parallel with the network: where they join, what stands before them, what says so."""

from __future__ import annotations

import math

from trainer.domain.cables import Circuit
from trainer.domain.calculations.cable_rating import current_carrying_capacity
from trainer.domain.calculations.facts import PERCENT, MissingFactError
from trainer.domain.calculations.paths import sections
from trainer.domain.calculations.voltage_drop import section_drop_v
from trainer.domain.devices import Device
from trainer.domain.equipment import Equipment, Source, SourceKind
from trainer.domain.findings import Term, Verdict, at_least, at_most, holds, total, undetermined, within
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.notices import Notice
from trainer.domain.rules.paths import (
    circuit_of,
    delay_of,
    device_path,
    equipment_beyond,
    equipment_path,
    nearest_residual_device,
    rating_of,
    serves_only,
)
from trainer.domain.rules.registry import Over, Rule, rule
from trainer.domain.vocabulary import Consequence, Direction, Outcome, ResidualDelay

_POSITIONS = (
    Notice.ALTERNATIVE_SUPPLY_AT_ORIGIN,
    Notice.ALTERNATIVE_SUPPLY_AT_METER,
    Notice.ALTERNATIVE_SUPPLY_AT_CONSUMER_UNIT,
    Notice.ALTERNATIVE_SUPPLY_AT_ISOLATION_POINTS,
)


def _shares_with_loads(house: Installation, circuit: Circuit) -> bool:
    """True when a circuit feeds current-using equipment beside its source."""
    if circuit.socket_outlets or circuit.luminaires:
        return True
    return any(other.source is None for other in house.equipment_on(circuit))


@rule("GEN-01", over=Over.EQUIPMENT, consequence=Consequence.FIRE, objectives=("LO20",))
def point_of_connection(item: Equipment, house: Installation, limits: Limits) -> Verdict | None:
    """A source joins on the supply side of all final circuits, or a shared circuit's cable carries both currents.

    Why: the source feeds the circuit from behind its device; the cable then carries more than the
    device will ever see.
    Remedy: a way of its own; no plug and socket for a source.
    Assumes: the poles of the device, the earth and the disconnection times are judged by rules of their own.
    Formula: Iz >= In + Ig
    """
    source = item.source
    if source is None:
        return None
    if source.plug_connected:
        return holds(False, case="plug_and_socket")
    circuit = circuit_of(house, item)
    if not _shares_with_loads(house, circuit):
        return holds(True, case="way_of_its_own")
    device = house.overcurrent_device(circuit)
    if device is None:
        return holds(False, case="no_overcurrent_device")
    try:
        capacity = current_carrying_capacity(circuit, limits).capacity_a
    except MissingFactError as gap:
        return undetermined(*gap.paths)
    return _both_currents(source, device, capacity)


def _both_currents(source: Source, device: Device, capacity_a: float) -> Verdict:
    rated = device.rated_current_a
    return at_least(
        capacity_a,
        total((rated, source.rated_current_a)),
        unit="A",
        terms=lambda: (Term("device_rating", rated, "A"), Term("source_current", source.rated_current_a, "A")),
        case="cable_carries_both",
        related=(device_path(device),),
    )


@rule("GEN-02", over=Over.EQUIPMENT, consequence=Consequence.SHOCK, objectives=("LO20",))
def source_below_a_residual_device(item: Equipment, house: Installation, _limits: Limits) -> Verdict | None:
    """A source stands on the load side of no residual current device but one of its own.

    Why: it feeds a fault from behind after the device has opened, until its own loss-of-mains detection acts.
    Remedy: a way of its own before the shared device.
    Assumes: one public page reports this as an item of A4:2026; until the book is compared it is advice.
    """
    if item.source is None:
        return None
    circuit = circuit_of(house, item)
    own: Device | None = None
    for device in house.devices_above(circuit):
        if not device.detects_residual_current:
            continue
        if _is_shared(device, circuit, house):
            return holds(False, case="publications_differ", related=(device_path(device),), otherwise=Outcome.ADVICE)
        own = device
    return holds(True, case="no_device" if own is None else "own_device")


@rule("GEN-03", over=Over.EQUIPMENT, consequence=Consequence.SHOCK, objectives=("LO20", "LO15"))
def source_shares_no_sensitive_device(item: Equipment, house: Installation, limits: Limits) -> Verdict | None:
    """A source does not share a 30 mA residual current device with final circuits.

    Why: after the device has opened the source goes on feeding the fault, and the person in it, until
    it notices that the mains has gone.
    Remedy: a way of its own before the shared device, or a device of its own.
    Assumes: below a time-delayed or distribution device the type, the poles and the direction are
    judged by rules of their own; any other shared device is advised against.
    """
    if item.source is None:
        return None
    circuit = circuit_of(house, item)
    found: Verdict | None = None
    try:
        for device in house.devices_above(circuit):
            if not device.detects_residual_current or not _is_shared(device, circuit, house):
                continue
            verdict = _shared_device(device, circuit, house, limits)
            if verdict.outcome is Outcome.DOES_NOT_COMPLY:
                return verdict
            if found is None or found.outcome is Outcome.COMPLIES:
                found = verdict
    except MissingFactError as gap:
        return undetermined(*gap.paths)
    return found or holds(True, case="nothing_shared")


def _is_shared(device: Device, circuit: Circuit, house: Installation) -> bool:
    """True when a device serves loads beside the source: on the source's circuit or on another."""
    return _shares_with_loads(house, circuit) or not serves_only(house, device, circuit)


def _shared_device(device: Device, circuit: Circuit, house: Installation, limits: Limits) -> Verdict:
    rating, sensitive = rating_of(device), limits.residual.additional_protection_ma
    if within(rating, sensitive.value):
        return holds(False, value=rating, unit="mA", case="shared_30_ma", related=(device_path(device),))
    if delay_of(device) is ResidualDelay.S or _distributes_only(device, circuit, house):
        return holds(True, value=rating, unit="mA", case="selective_or_distribution_device")
    return holds(
        False,
        value=rating,
        unit="mA",
        case="shared_above_30_ma",
        related=(device_path(device),),
        otherwise=Outcome.ADVICE,
    )


def _distributes_only(device: Device, circuit: Circuit, house: Installation) -> bool:
    """True when every other final circuit below has a residual current device nearer to it."""
    if _shares_with_loads(house, circuit) and nearest_residual_device(house, circuit) is device:
        return False
    return all(
        other.id == circuit.id or not house.is_final(other) or nearest_residual_device(house, other) is not device
        for other in house.circuits_below(device)
    )


@rule("GEN-04", over=Over.DEVICES, consequence=Consequence.SHOCK, objectives=("LO21",))
def direction_of_devices(device: Device, house: Installation, _limits: Limits) -> Verdict | None:
    """A device with a source on its load side may be fed from both sides.

    Why: a device marked line and load may keep its electronics and trip coil on the load side; fed from
    there after it has opened, the coil may burn out, and the next fault may find a dead device.
    Remedy: a bidirectional device, or its maker's declaration that it may be fed from both sides.
    Assumes: devices without marked terminals, such as plain circuit-breakers and fuses, may be fed
    from either side unless stated otherwise.
    """
    if next(iter(house.sources_below(device)), None) is None:
        return None
    direction = device.direction
    if direction is None:
        if device.detects_residual_current or device.arc_fault_detection:
            return undetermined(f"{device_path(device)}.direction")
        return None
    if direction is Direction.BIDIRECTIONAL:
        return holds(True, value=direction, case="bidirectional")
    related = tuple(equipment_path(item) for item in house.sources_below(device))
    return holds(False, value=direction, limit=Direction.BIDIRECTIONAL, case="fed_from_its_load_side", related=related)


@rule("GEN-09", over=Over.INSTALLATION, consequence=Consequence.DOCUMENTATION, objectives=("LO25",))
def notices_of_further_sources(house: Installation, _same: Installation, _limits: Limits) -> Verdict | None:
    """Notices at origin, meter, consumer unit and every point of isolation tell of the further source.

    Why: the next electrician turns off the mains and believes the board dead.
    Remedy: the missing notices.
    """
    if not house.sources():
        return None
    missing = tuple(f"notices.{each}" for each in _POSITIONS if each not in house.notices)
    return at_least(len(_POSITIONS) - len(missing), len(_POSITIONS), unit="notices", case="positions", related=missing)


@rule("GEN-10", over=Over.INSTALLATION, consequence=Consequence.DOCUMENTATION, objectives=("LO20", "LO41"))
def prosumer_installation(house: Installation, _same: Installation, _limits: Limits) -> Verdict | None:
    """An installation with a source of its own is judged as a prosumer's, in every way it can be fed.

    Why: protection that works on the mains may fail when the house feeds itself.
    Remedy: none to carry out; the rules on sources and islands follow.
    Assumes: this states that the part applies; it has nothing of its own to fail.
    """
    count = len(house.sources())
    return holds(True, value=count, unit="sources", case="part_8_applies") if count else None


@rule("GEN-11", over=Over.EQUIPMENT, consequence=Consequence.NUISANCE, objectives=("LO20", "LO31"))
def voltage_rise_of_generation(item: Equipment, house: Installation, limits: Limits) -> Verdict | None:
    """A source lifts the voltage along its cable by no more than 1 %.

    Why: the inverter sees its own rise on top of the network's voltage and switches off on the
    sunniest days.
    Remedy: a larger or shorter cable. Good practice, no clause.
    Assumes: a rise that is not stated follows from the cable's voltage drop at the source's current; along
    a distribution circuit all sources beyond it send their current at once.
    Formula: rise = sum of (mV/A/m) * Ig * L / 1000 / U over the cables between source and origin
    """
    source = item.source
    if source is None:
        return None
    rise = source.voltage_rise_percent
    if rise is None:
        try:
            rise = _computed_rise_percent(circuit_of(house, item), house, limits)
        except MissingFactError:
            return undetermined(f"{equipment_path(item)}.source.voltage_rise_percent")
    return at_most(rise, limits.sources.voltage_rise_percent, case="voltage_rise", otherwise=Outcome.ADVICE)


def _computed_rise_percent(circuit: Circuit, house: Installation, limits: Limits) -> float:
    """The rise along the circuit of a source and the distribution circuits before it. *Raises* MissingFactError."""
    voltage = house.supply.nominal_voltage_to_earth_v
    return total(
        section_drop_v(section, _sent_through_a(section, circuit, house), limits)
        / (voltage * math.sqrt(section.phases))
        * PERCENT
        for section in sections(house, circuit)
    )


def _sent_through_a(section: Circuit, circuit: Circuit, house: Installation) -> float:
    """What the sources beyond a section send through it on the line of a circuit."""
    return total(
        item.source.rated_current_a
        for item in equipment_beyond(house, section)
        if item.source is not None and _on_one_line(circuit_of(house, item), circuit)
    )


def _on_one_line(one: Circuit, other: Circuit) -> bool:
    return one.phases > 1 or other.phases > 1 or one.line == other.line


@rule("V2X-01", over=Over.EQUIPMENT, consequence=Consequence.SHOCK, objectives=("LO46",))
def vehicle_as_a_source(item: Equipment, _house: Installation, _limits: Limits) -> Verdict | None:
    """A charger that feeds back can be isolated at both ends and counts as generation.

    Why: the car is a battery on wheels: the plug that charged it yesterday is live from the other end today.
    Remedy: isolation of the mains side and of the vehicle side; the charger's rating in the application
    to the network operator.
    Assumes: direction of devices, neutral-earth link and electrode are judged by rules of their own.
    """
    source = item.source
    if source is None or source.kind is not SourceKind.VEHICLE:
        return None
    path = f"{equipment_path(item)}.source"
    for name, present in (("isolator_ac", source.isolator_ac), ("isolator_dc", source.isolator_dc)):
        if present is None:
            return undetermined(f"{path}.{name}")
        if not present:
            return holds(False, case=name)
    return holds(source.counts_in_registered_capacity, case="counts_as_generation")


RULES: tuple[Rule, ...] = (
    point_of_connection,
    source_below_a_residual_device,
    source_shares_no_sensitive_device,
    direction_of_devices,
    notices_of_further_sources,
    prosumer_installation,
    voltage_rise_of_generation,
    vehicle_as_a_source,
)
