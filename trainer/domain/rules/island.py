"""Island mode: electrode, neutral-earth link, and disconnection when the network is away."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.domain.cables import Circuit
from trainer.domain.calculations.disconnection import TN, maximum_disconnection_time_s, maximum_impedance_ohm
from trainer.domain.calculations.facts import PER_MILLI, MissingFactError
from trainer.domain.devices import Device
from trainer.domain.equipment import Equipment, NeutralEarthLink, Source
from trainer.domain.findings import Term, Verdict, at_least, holds, undetermined
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.paths import circuit_path, device_path, equipment_path, rating_of
from trainer.domain.rules.registry import Over, Rule, rule
from trainer.domain.vocabulary import Consequence, EarthingSystem

_LINKED = frozenset({NeutralEarthLink.AUTOMATIC, NeutralEarthLink.FIXED})


def _forms_island(item: Equipment) -> Source | None:
    """The source of equipment that can feed the installation while the network is away."""
    return item.source if item.source is not None and item.source.island else None


def _weakest_fault_current_a(house: Installation) -> float:
    """The current into a fault that is sure in every island: that of the weakest source. *Raises* MissingFactError."""
    weakest: float | None = None
    for item in house.equipment.values():
        source = _forms_island(item)
        if source is None:
            continue
        current = source.island_fault_current_a
        if current is None:
            raise MissingFactError(f"{equipment_path(item)}.source.island_fault_current_a")
        weakest = current if weakest is None else min(weakest, current)
    return weakest or 0


@rule("GEN-05", over=Over.INSTALLATION, consequence=Consequence.SHOCK, objectives=("LO22",))
def electrode_of_the_island(house: Installation, _same: Installation, _limits: Limits) -> Verdict | None:
    """An installation that can run as an island has an earth electrode of its own.

    Why: when the network is cut off its earth may be cut off with it, and nothing then holds the
    neutral near Earth.
    Remedy: an electrode that stays connected in island mode.
    Assumes: the electrode of a TT installation serves in island mode as well.
    """
    if not house.has_island:
        return None
    earthing = house.earthing
    if earthing.island_electrode_resistance_ohm is not None:
        return holds(True, value=earthing.island_electrode_resistance_ohm, unit="ohm", case="island_electrode")
    if house.supply.earthing_system is None:
        return undetermined("supply.earthing_system")
    if house.supply.earthing_system is not EarthingSystem.TT:
        return holds(False, case="no_electrode")
    if earthing.electrode_resistance_ohm is None:
        return undetermined("earthing.electrode_resistance_ohm")
    return holds(True, value=earthing.electrode_resistance_ohm, unit="ohm", case="tt_electrode")


@rule("GEN-06", over=Over.EQUIPMENT, consequence=Consequence.SHOCK, objectives=("LO22",))
def neutral_earthed_in_the_island(item: Equipment, _house: Installation, _limits: Limits) -> Verdict | None:
    """A source that forms an island links neutral and earth while it does.

    Why: without the link a first fault to earth drives no current; no residual current device can
    act, and the second fault meets a person.
    Remedy: a link that closes in island mode.
    Assumes: the electrode, and that there is one link only, are judged by rules of their own.
    """
    source = _forms_island(item)
    if source is None:
        return None
    link = source.neutral_earth_link
    if link is None:
        return undetermined(f"{equipment_path(item)}.source.neutral_earth_link")
    return holds(link is not NeutralEarthLink.NONE, value=link, case="link_in_island_mode")


@rule("GEN-07", over=Over.EQUIPMENT, consequence=Consequence.SHOCK, objectives=("LO22",))
def one_neutral_earth_link_at_a_time(item: Equipment, house: Installation, _limits: Limits) -> Verdict | None:
    """One neutral-earth link at a time: open with the network, closed after the island isolator has opened all poles.

    Why: two links make the protective conductors carry neutral current all day; a neutral left
    connected to a dead network feeds whoever works on it.
    Remedy: an automatic link with an island isolator that opens all live conductors.
    """
    source = _forms_island(item)
    if source is None or source.neutral_earth_link in (None, NeutralEarthLink.NONE):
        return None
    if source.neutral_earth_link is NeutralEarthLink.FIXED:
        return holds(False, value=source.neutral_earth_link, limit=NeutralEarthLink.AUTOMATIC, case="fixed_link")
    other = _other_link(item, house)
    if other is not None:
        return holds(False, case="more_than_one_link", related=(equipment_path(other),))
    if source.island_isolator_opens_all_live is None:
        return undetermined(f"{equipment_path(item)}.source.island_isolator_opens_all_live")
    return holds(source.island_isolator_opens_all_live, case="island_isolator")


def _other_link(item: Equipment, house: Installation) -> Equipment | None:
    """Another source that closes a link in the same island."""
    for other in house.equipment.values():
        source = None if other.id == item.id else _forms_island(other)
        if source is not None and source.neutral_earth_link in _LINKED:
            return other
    return None


@rule("GEN-08", over=Over.DEVICES, consequence=Consequence.SHOCK, objectives=("LO23",))
def residual_devices_act_in_every_mode(device: Device, house: Installation, limits: Limits) -> Verdict | None:
    """In every way of feeding the house a fault carries five times the rating of each residual current device.

    Why: an inverter gives little more than its rated current into a fault; a device of high rating
    may then take its longest time, or stay.
    Remedy: devices of lower rating.
    Assumes: on the mains the rules on disconnection judge; at five times its rating a device opens
    within 40 ms, an S type within 150 ms, inside every time of Table 41.1 that applies at 230 V.
    Formula: fault current of the weakest island >= 5 * I-delta-n
    """
    if not device.detects_residual_current or not house.has_island:
        return None
    try:
        current, needed = _weakest_fault_current_a(house), rating_of(device) / PER_MILLI
    except MissingFactError as gap:
        return undetermined(*gap.paths)
    return at_least(current, limits.sources.multiple_for_time.value * needed, unit="A", case="fault_current_in_island")


@rule("ISL-01", over=Over.CIRCUITS, consequence=Consequence.SHOCK, objectives=("LO23",))
def disconnection_in_the_island(circuit: Circuit, house: Installation, limits: Limits) -> Verdict | None:
    """In island mode a residual current device, or a device that the inverter can trip, disconnects each final circuit.

    Why: the fault current of an inverter, once or twice its rating, seldom trips a magnetic release;
    the fault then lasts until the inverter gives up.
    Remedy: a residual current device on each circuit that the island feeds.
    Assumes: every circuit may be fed by the island. A circuit that ends at an inverter is left to that
    inverter where it forms the island or monitors residual current; for other circuits such monitoring
    does not count. A device that stands before the source as well carries nothing of the fault, so it
    does not count either. Devices that need a healthy voltage follow their maker.
    Formula: island fault current >= tripping current of the overcurrent device
    """
    if not house.has_island or not house.is_final(circuit):
        return None
    device = next((each for each in _in_the_fault(house, circuit) if each.detects_residual_current), None)
    if device is not None:
        return holds(True, case="by_residual_current_device", related=(device_path(device),))
    overcurrent = next((each for each in _in_the_fault(house, circuit) if each.breaks_overcurrent), None)
    try:
        if _left_to_the_inverter(house.equipment_on(circuit)):
            return holds(True, case="by_the_inverter")
        if overcurrent is None:
            return holds(False, case="no_device", related=(circuit_path(circuit),))
        return _by_overcurrent_device(circuit, house, limits, overcurrent)
    except MissingFactError as gap:
        return undetermined(*gap.paths)


def _in_the_fault(house: Installation, circuit: Circuit) -> Iterator[Device]:
    """The devices that a fault of the circuit flows through in every island, the nearest first."""
    for device in house.devices_above(circuit):
        if any(_forms_island(item) is not None for item in house.sources_below(device)):
            return
        yield device


def _left_to_the_inverter(items: tuple[Equipment, ...]) -> bool:
    """True for a circuit of inverters alone that shut down on a fault of their cable. *Raises* MissingFactError."""
    for item in items:
        source = item.source
        if source is None:
            return False
        if source.island:
            continue
        if source.residual_monitoring is None:
            raise MissingFactError(f"{equipment_path(item)}.source.residual_monitoring")
        if not source.residual_monitoring:
            return False
    return len(items) > 0


def _by_overcurrent_device(circuit: Circuit, house: Installation, limits: Limits, device: Device) -> Verdict:
    """The overcurrent device against what the inverter can drive: the current behind its tabulated impedance."""
    voltage = house.supply.nominal_voltage_to_earth_v
    allowed_s = maximum_disconnection_time_s(house, circuit, device.rated_current_a, TN, limits)
    impedance = maximum_impedance_ohm(device, allowed_s, voltage, limits)
    tripping = limits.overcurrent.minimum_voltage_factor.value * voltage / impedance
    current = _weakest_fault_current_a(house)
    return at_least(
        current,
        tripping,
        unit="A",
        terms=lambda: (Term("island_fault_current", current, "A"), Term("tripping_current", tripping, "A")),
        case="by_overcurrent_device",
        related=(device_path(device),),
    )


RULES: tuple[Rule, ...] = (
    electrode_of_the_island,
    neutral_earthed_in_the_island,
    one_neutral_earth_link_at_a_time,
    residual_devices_act_in_every_mode,
    disconnection_in_the_island,
)
