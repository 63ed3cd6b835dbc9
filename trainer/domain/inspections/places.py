"""The places of a house by the names under which a report lists them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from trainer.domain.answers.decisions import Decision
from trainer.domain.cables import Circuit
from trainer.domain.devices import Device
from trainer.domain.equipment import EquipmentKind
from trainer.domain.installation import Installation
from trainer.domain.vocabulary import Stated

ORIGIN = "The origin"
CONNECTION_PAPERS = "Connection papers"
_ROUTES = frozenset({"generation_route", "load_route"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A place: its path in the house and its name."""

    path: str
    name: str


def place_of(house: Installation, decision: Decision) -> str:
    """The name of what a decision is about."""
    collection, _, name = decision.subject.partition(".")
    if collection == "devices":
        return device_name(house.devices[name])
    if collection == "circuits":
        above = house.device_above(house.circuits[name])
        return device_name(above) if above is not None and above.way is not None else house.circuits[name].label
    if collection == "equipment":
        return house.equipment[name].label or name
    if collection == "boards":
        return house.boards[name].label or name
    return CONNECTION_PAPERS if decision.id.rpartition(".")[2] in _ROUTES else ORIGIN


def device_name(device: Device) -> str:
    """Way and label of a device."""
    return (
        f"Way {device.way} ({device.label})" if device.way is not None and device.label else device.label or device.id
    )


def places_for(house: Installation) -> dict[str, tuple[Place, ...]]:
    """The places at which each kind of observation can be made."""
    return {
        "board": tuple(Place(path=f"boards.{each.id}", name=each.label or each.id) for each in house.boards.values()),
        "way": tuple(_of_ways(house, lambda _: True)),
        "outlets": tuple(_of_ways(house, lambda circuit: circuit.socket_outlets)),
        "lighting": tuple(_of_ways(house, lambda circuit: circuit.luminaires)),
        "charger": tuple(_of_kinds(house, EquipmentKind.CHARGER)),
        "pv": tuple(_of_kinds(house, EquipmentKind.PV_INVERTER, EquipmentKind.HYBRID_INVERTER)),
        "battery": tuple(
            Place(path=f"equipment.{each.id}.battery", name=f"{each.label or each.id}, battery")
            for each in house.equipment.values()
            if each.battery is not None
        ),
        "array": tuple(_of_arrays(house)),
        "detecting_charger": tuple(
            Place(path=f"equipment.{each.id}", name=each.label or each.id)
            for each in house.equipment.values()
            if each.charger is not None and each.charger.direct_current_detection is Stated.YES
        ),
        "earthing": (_EARTHING,),
        "bonding": (_EARTHING,) if house.earthing.extraneous_parts else (),
    }


_EARTHING = Place(path="earthing", name="Earthing and bonding")


def _of_arrays(house: Installation) -> Iterator[Place]:
    for each in house.equipment.values():
        if each.kind is EquipmentKind.PV_INVERTER or each.pv_array is not None:
            yield Place(path=f"equipment.{each.id}", name=each.label or each.id)


def _of_ways(house: Installation, wanted: Callable[[Circuit], bool]) -> Iterator[Place]:
    for circuit in house.circuits.values():
        device = house.device_above(circuit)
        if device is not None and device.way is not None and house.is_final(circuit) and wanted(circuit):
            yield Place(path=f"devices.{device.id}", name=device_name(device))


def _of_kinds(house: Installation, *kinds: EquipmentKind) -> Iterator[Place]:
    for each in house.equipment.values():
        if each.kind in kinds:
            yield Place(path=f"equipment.{each.id}", name=each.label or each.id)
