"""Which signs stand for a record. The signs themselves are drawn in ``diagrams/signs.svg``.

Contacts, fuse, core, release and sources follow IEC 60617, the type marks the product standards
IEC 61008-1, IEC 61009-1 and IEC 62423: both from memory, nobody compared the drawing with the print.
"""

from __future__ import annotations

from trainer.domain.devices import Device
from trainer.domain.equipment import Equipment, EquipmentKind
from trainer.domain.vocabulary import DeviceKind, Direction, ResidualDelay
from trainer.explain.diagram.words import OPEN, Teller

# Width on the line, in pixels.
WIDTHS = {
    "contact-open": 24.0,
    "contact-switch": 24.0,
    "contact-breaker": 24.0,
    "fuse": 24.0,
    "core": 14.0,
    "release": 18.0,
    "delay": 14.0,
    "question": 18.0,
    "one-way": 16.0,
    "both-ways": 20.0,
}
TYPE_MARK_WIDTHS = {"AC": 24.0, "A": 24.0, "F": 48.0, "B": 72.0, OPEN: 24.0}
TYPE_MARK_HEIGHT = 15.0

_CONTACTS = {
    DeviceKind.RCCB: ("contact-breaker", "core"),
    DeviceKind.RCBO: ("contact-breaker", "core", "release"),
    DeviceKind.CIRCUIT_BREAKER: ("contact-breaker", "release"),
    DeviceKind.FUSE: ("fuse",),
    DeviceKind.SWITCH: ("contact-switch",),
}
_DIRECTIONS = {Direction.UNIDIRECTIONAL: "one-way", Direction.BIDIRECTIONAL: "both-ways"}

_EQUIPMENT = {
    EquipmentKind.CHARGER: "charger",
    EquipmentKind.HEAT_PUMP: "heat-pump",
    EquipmentKind.PV_INVERTER: "pv",
    EquipmentKind.BATTERY_INVERTER: "battery",
    EquipmentKind.HYBRID_INVERTER: "hybrid",
    EquipmentKind.LUMINAIRES: "luminaires",
    EquipmentKind.SOCKET_LOADS: "sockets",
    EquipmentKind.MOTOR: "motor",
    EquipmentKind.LIFT: "motor",
    EquipmentKind.SHOWER: "heating",
    EquipmentKind.WATER_HEATER: "heating",
    EquipmentKind.HOB: "heating",
    EquipmentKind.OVEN: "heating",
}


def device_signs(device: Device, teller: Teller) -> tuple[str, ...]:
    """The signs on the line of a device, from the supply side on."""
    path = f"devices.{device.id}"
    if teller.is_open(f"{path}.kind"):
        return ("contact-open", "question")
    signs = list(_CONTACTS[device.kind])
    if not teller.is_open(f"{path}.residual_delay") and device.residual_delay is ResidualDelay.S:
        signs.append("delay")
    if device.direction and not teller.is_open(f"{path}.direction"):
        signs.append(_DIRECTIONS[device.direction])
    return tuple(signs)


def type_mark(device: Device, teller: Teller) -> str:
    """The mark of the residual current type: its letters, or a question mark while open."""
    path = f"devices.{device.id}"
    if teller.is_open(f"{path}.rcd_type"):
        return OPEN
    return device.rcd_type.value if device.rcd_type else ""


def equipment_sign(item: Equipment) -> str:
    """The sign in the box of an item of equipment."""
    return _EQUIPMENT.get(item.kind, "load")
