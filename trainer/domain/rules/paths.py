"""Ways through the tree that several rules take. None of them remembers what a decision may set."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.domain.cables import Circuit
from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.calculations.paths import sections
from trainer.domain.devices import Device
from trainer.domain.equipment import Equipment
from trainer.domain.installation import Installation
from trainer.domain.vocabulary import EarthingSystem, Premises, RcdType, ResidualDelay

HOUSEHOLDS = frozenset({Premises.DWELLING, Premises.HMO, Premises.HIGHER_RISK_RESIDENTIAL})
"""Premises in which people live and which the regulations on domestic premises mean."""


def nearest_residual_device(house: Installation, node: Circuit | Device) -> Device | None:
    """The first residual current device between a circuit or device and the supply."""
    for device in house.devices_above(node):
        if device.detects_residual_current:
            return device
    return None


def own_circuits(house: Installation, device: Device) -> Iterator[Circuit]:
    """The circuits whose nearest residual current device is the given one."""
    for circuit in house.circuits_below(device):
        if nearest_residual_device(house, circuit) is device:
            yield circuit


def circuit_of(house: Installation, item: Equipment) -> Circuit:
    """The circuit at whose end equipment stands."""
    return house.circuits[item.circuit]


def equipment_beyond(house: Installation, circuit: Circuit) -> tuple[Equipment, ...]:
    """The equipment of a final circuit; of a distribution circuit, that of all boards which it feeds."""
    if house.is_final(circuit):
        return house.equipment_on(circuit)
    return tuple(
        item
        for item in house.equipment.values()
        if any(section.id == circuit.id for section in sections(house, circuit_of(house, item)))
    )


def serves_only(house: Installation, device: Device, circuit: Circuit) -> bool:
    """True when a device before a final circuit feeds no other final circuit."""
    return all(other.id == circuit.id or not house.is_final(other) for other in house.circuits_below(device))


def count_of_final_circuits(house: Installation, device: Device) -> int:
    """How many final circuits a device feeds."""
    return sum(house.is_final(circuit) for circuit in house.circuits_below(device))


def device_path(device: Device) -> str:
    """The path of a device, as findings name it."""
    return f"devices.{device.id}"


def equipment_path(item: Equipment) -> str:
    """The path of equipment, as findings name it."""
    return f"equipment.{item.id}"


def circuit_path(circuit: Circuit) -> str:
    """The path of a circuit, as findings name it."""
    return f"circuits.{circuit.id}"


def type_of(device: Device) -> RcdType:
    """The type of a residual current device. *Raises* MissingFactError."""
    if device.rcd_type is None:
        raise MissingFactError(f"devices.{device.id}.rcd_type")
    return device.rcd_type


def rating_of(device: Device) -> float:
    """The rated residual operating current of a device, in mA. *Raises* MissingFactError."""
    if device.rated_residual_operating_current_ma is None:
        raise MissingFactError(f"devices.{device.id}.rated_residual_operating_current_ma")
    return device.rated_residual_operating_current_ma


def delay_of(device: Device) -> ResidualDelay:
    """The time behaviour of a residual current device. *Raises* MissingFactError."""
    if device.residual_delay is None:
        raise MissingFactError(f"devices.{device.id}.residual_delay")
    return device.residual_delay


def system_of(house: Installation) -> EarthingSystem:
    """The earthing system of the supply. *Raises* MissingFactError."""
    if house.supply.earthing_system is None:
        raise MissingFactError("supply.earthing_system")
    return house.supply.earthing_system
