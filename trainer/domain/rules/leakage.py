"""Standing leakage, the division of the installation, and protective conductors that carry current."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.domain.cables import Cable, Circuit
from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.devices import Device
from trainer.domain.equipment import Equipment, EquipmentKind
from trainer.domain.findings import Term, Verdict, at_most, holds, total, undetermined, within
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.paths import (
    circuit_path,
    equipment_beyond,
    equipment_path,
    nearest_residual_device,
    rating_of,
)
from trainer.domain.rules.registry import Over, Rule, rule
from trainer.domain.vocabulary import Consequence, ResidualDelay

_MANY_APPLIANCES = frozenset({EquipmentKind.SOCKET_LOADS, EquipmentKind.IT})


def _first_unknown(items: Iterator[Equipment]) -> Equipment | None:
    """The first item whose protective conductor current is not known."""
    return next((item for item in items if item.protective_conductor_current_ma is None), None)


@rule("RCD-05", over=Over.DEVICES, consequence=Consequence.NUISANCE, objectives=("LO04",))
def leakage_within_a_share_of_the_rating(device: Device, house: Installation, limits: Limits) -> Verdict | None:
    """The standing leakage of all equipment below a device stays within 30 % of its rating.

    Why: a device may act from half of its rating; what leaks without a fault eats into that margin,
    and the next surge or cold morning trips it.
    Remedy: fewer circuits on the device, devices of their own, or a higher rating where no
    additional protection is asked for.
    Assumes: leakages add, which is the worst case; a design measure among several.
    Formula: sum of protective conductor currents <= 0.3 * rated residual operating current
    """
    if not device.detects_residual_current or next(house.equipment_below(device), None) is None:
        return None
    try:
        allowed = total((limits.residual.leakage_share.value * rating_of(device),))
    except MissingFactError as gap:
        return undetermined(*gap.paths)
    known = total(item.protective_conductor_current_ma or 0 for item in house.equipment_below(device))
    if within(known, allowed):
        unknown = _first_unknown(house.equipment_below(device))
        if unknown is not None:
            return undetermined(f"{equipment_path(unknown)}.protective_conductor_current_ma")
    return at_most(
        known,
        allowed,
        unit="mA",
        case="sum_of_leakage",
        terms=lambda: [
            Term(item.id, item.protective_conductor_current_ma, "mA")
            for item in house.equipment_below(device)
            if item.protective_conductor_current_ma
        ],
    )


@rule("RCD-08", over=Over.DEVICES, consequence=Consequence.NUISANCE, objectives=("LO07",))
def division_of_the_installation(device: Device, house: Installation, _limits: Limits) -> Verdict | None:
    """No residual current device takes the whole installation, or a critical circuit with others, down with it.

    Why: one fault on the lawn puts out the lights on the stairs and thaws the freezer.
    Remedy: several devices, or one for each circuit; critical circuits on devices of their own.
    Assumes: a time-delayed device at the head is exempt where some circuit has a device nearer to it,
    which acts first; with none below it the delay divides nothing.
    """
    if not device.detects_residual_current:
        return None
    fed = [circuit for circuit in house.circuits_below(device) if house.is_final(circuit)]
    if len(fed) <= 1:
        return None
    every = sum(house.is_final(circuit) for circuit in house.circuits.values())
    critical = next((circuit for circuit in fed if circuit.critical), None)
    if len(fed) < every and (critical is None or all(circuit.critical for circuit in fed)):
        return holds(True, value=len(fed), limit=every, unit="circuits", case="divided")
    divided_below = any(nearest_residual_device(house, circuit) is not device for circuit in fed)
    return _at_the_head(device, len(fed), every, critical, divided_below)


def _at_the_head(device: Device, fed: int, every: int, critical: Circuit | None, divided_below: bool) -> Verdict:
    """The verdict on a device that feeds everything or a critical circuit with others."""
    if divided_below and device.residual_delay is None:
        return undetermined(f"devices.{device.id}.residual_delay")
    if divided_below and device.residual_delay is ResidualDelay.S:
        return holds(True, value=fed, limit=every, unit="circuits", case="time_delayed_head")
    if fed == every:
        return holds(False, value=fed, limit=every, unit="circuits", case="whole_installation")
    related = () if critical is None else (circuit_path(critical),)
    return holds(False, value=fed, limit=every, unit="circuits", case="critical_circuit_shared", related=related)


@rule("HP-03", over=Over.CIRCUITS, consequence=Consequence.SHOCK, objectives=("LO36",))
def high_protective_conductor_current(circuit: Circuit, house: Installation, limits: Limits) -> Verdict | None:
    """Equipment above 3.5 mA is fixed or on an industrial plug; a circuit above 10 mA has a high-integrity earth.

    Why: if the one protective conductor breaks, the whole leakage flows through whoever touches the case.
    Remedy: a fixed connection; a protective conductor of 10 mm2, of 4 mm2 under mechanical
    protection, or two of them.
    Assumes: the outlets of computers and small appliances feed many items, none above 3.5 mA by itself.
    A distribution circuit carries what all circuits beyond it leak, added up.
    """
    items = equipment_beyond(house, circuit)
    if not items:
        return None
    known = total(item.protective_conductor_current_ma or 0 for item in items)
    ceilings = limits.residual.protective_conductor_current_ma
    plugged = _on_a_domestic_plug(house.equipment_on(circuit), ceilings["plug"].value)
    if plugged is not None:
        return at_most(
            plugged.protective_conductor_current_ma or 0,
            ceilings["plug"],
            case="plug",
            related=(equipment_path(plugged),),
        )
    high = not within(known, ceilings["high_integrity"].value)
    if high or _first_unknown(iter(items)) is not None:
        return _by_integrity(circuit, items, known, high, limits)
    return at_most(known, ceilings["high_integrity"], case="low")


def _on_a_domestic_plug(items: tuple[Equipment, ...], ceiling_ma: float) -> Equipment | None:
    for item in items:
        if item.plug_in and not item.industrial_plug and item.kind not in _MANY_APPLIANCES:
            current = item.protective_conductor_current_ma
            if current is not None and not within(current, ceiling_ma):
                return item
    return None


def _by_integrity(circuit: Circuit, items: tuple[Equipment, ...], known: float, high: bool, limits: Limits) -> Verdict:
    """The verdict on a circuit whose current is high or not fully known: the protective conductor decides."""
    if circuit.cable is not None and _has_high_integrity(circuit.cable, limits):
        return holds(True, value=known, unit="mA", case="high_integrity")
    unknown = _first_unknown(iter(items))
    if not high and unknown is not None:
        return undetermined(f"{equipment_path(unknown)}.protective_conductor_current_ma")
    if circuit.cable is None:
        return undetermined(f"{circuit_path(circuit)}.cable")
    return at_most(known, limits.residual.protective_conductor_current_ma["high_integrity"], case="high_integrity")


def _has_high_integrity(cable: Cable, limits: Limits) -> bool:
    if cable.duplicated_protective_conductor:
        return True
    size = cable.protective_conductor_mm2
    if size is None:
        return False
    sizes = limits.residual.high_integrity_mm2
    if within(sizes["single"].value, size):
        return True
    return cable.mechanically_protected and within(sizes["mechanically_protected"].value, size)


RULES: tuple[Rule, ...] = (
    leakage_within_a_share_of_the_rating,
    division_of_the_installation,
    high_protective_conductor_current,
)
