"""Equipment in words and signs."""

from __future__ import annotations

from functools import cache

from trainer.domain.equipment import ChargerEarthing, Equipment, EquipmentKind, NeutralEarthLink
from trainer.domain.vocabulary import Location
from trainer.explain.diagram.nodes import Translate
from trainer.explain.diagram.words import Teller, told
from trainer.explain.numbers import quantity

_WITH_ELECTRODE = frozenset({ChargerEarthing.ADDITIONAL_ELECTRODE, ChargerEarthing.OWN_TT_ELECTRODE})


@cache
def kind_words(_: Translate) -> dict[EquipmentKind, str]:
    """Each kind of equipment as the trade names it."""
    return {
        EquipmentKind.CHARGER: _("vehicle charger"),
        EquipmentKind.HEAT_PUMP: _("heat pump"),
        EquipmentKind.PV_INVERTER: _("PV inverter"),
        EquipmentKind.BATTERY_INVERTER: _("battery inverter"),
        EquipmentKind.HYBRID_INVERTER: _("hybrid inverter"),
        EquipmentKind.HOB: _("hob"),
        EquipmentKind.OVEN: _("oven"),
        EquipmentKind.SHOWER: _("shower"),
        EquipmentKind.WATER_HEATER: _("water heater"),
        EquipmentKind.WASHING_MACHINE: _("washing machine"),
        EquipmentKind.LUMINAIRES: _("luminaires"),
        EquipmentKind.SOCKET_LOADS: _("socket-outlets"),
        EquipmentKind.IT: _("IT equipment"),
        EquipmentKind.MOTOR: _("motor"),
        EquipmentKind.LIFT: _("lift"),
        EquipmentKind.OTHER: _("equipment"),
    }


@cache
def location_words(_: Translate) -> dict[Location, str]:
    """Each place as it is spoken of."""
    return {
        Location.INDOORS: _("indoors"),
        Location.OUTDOORS: _("outdoors"),
        Location.GARAGE: _("in the garage"),
        Location.OUTBUILDING: _("in an outbuilding"),
        Location.BATHROOM: _("in the bathroom"),
        Location.LOFT: _("in the loft"),
        Location.BEDROOM: _("in a bedroom"),
        Location.ESCAPE_ROUTE: _("in an escape route"),
        Location.PLANT_ROOM: _("in the plant room"),
        Location.AGRICULTURAL_BUILDING: _("in a farm building"),
        Location.CARAVAN_PITCH: _("on a caravan pitch"),
    }


@cache
def charger_earthing_words(_: Translate) -> dict[ChargerEarthing, str]:
    """Each way to earth a charging point, in few words."""
    return {
        ChargerEarthing.INSTALLATION_EARTH: _("earth of the installation"),
        ChargerEarthing.BALANCED_THREE_PHASE: _("earth of the installation, balanced phases"),
        ChargerEarthing.ADDITIONAL_ELECTRODE: _("additional electrode"),
        ChargerEarthing.DEVICE_SENSING_PROTECTIVE_CONDUCTOR: _("device sensing the cpc"),
        ChargerEarthing.DEVICE_SENSING_VOLTAGE: _("device sensing the voltage"),
        ChargerEarthing.EQUIVALENT_DEVICE: _("equivalent device"),
        ChargerEarthing.OWN_TT_ELECTRODE: _("own TT electrode"),
        ChargerEarthing.ELECTRICAL_SEPARATION: _("electrical separation"),
    }


@cache
def link_words(_: Translate) -> dict[NeutralEarthLink, str]:
    """Each way to link neutral and earth at a source."""
    return {
        NeutralEarthLink.AUTOMATIC: _("automatic N-E link"),
        NeutralEarthLink.FIXED: _("fixed N-E link"),
        NeutralEarthLink.NONE: _("no N-E link"),
    }


def equipment_facts(item: Equipment, teller: Teller) -> tuple[tuple[str, ...], ...]:
    """Kind, rating and place; then what belongs to a battery, a charger or a source."""
    _, path = teller.translate, f"equipment.{item.id}"
    kind = kind_words(_)[item.kind]
    place = "" if item.location is Location.INDOORS else location_words(_)[item.location]
    general = told(
        "" if kind.casefold() == item.label.casefold() or not item.label else kind,
        _rating(item, teller),
        _("3-phase") if item.phases == 3 else "",
        teller.fact(f"{path}.location", place, _("place ?")),
    )
    return (
        general,
        _battery_facts(item, teller),
        _charger_facts(item, teller),
        _source_facts(item, teller),
    )


def _rating(item: Equipment, teller: Teller) -> str:
    path = f"equipment.{item.id}"
    if item.rated_power_w is not None:
        power = quantity(item.rated_power_w / 1000, "kW")
        return teller.fact(f"{path}.rated_power_w", power, "?\u00a0kW")
    return teller.value(f"{path}.rated_current_a", item.rated_current_a, "A")


def _battery_facts(item: Equipment, teller: Teller) -> tuple[str, ...]:
    if item.battery is None:
        return ()
    _ = teller.translate
    where = _("battery {place}").format(place=location_words(_)[item.battery.location])
    return (teller.fact(f"equipment.{item.id}.battery.location", where, _("battery place ?")),)


def _charger_facts(item: Equipment, teller: Teller) -> tuple[str, ...]:
    if item.charger is None:
        return ()
    _, path = teller.translate, f"equipment.{item.id}.charger.earthing"
    route = item.charger.earthing
    return told(teller.fact(path, charger_earthing_words(_)[route] if route else "", _("earthing ?")))


def _source_facts(item: Equipment, teller: Teller) -> tuple[str, ...]:
    if item.source is None:
        return ()
    _, path = teller.translate, f"equipment.{item.id}.source"
    link = item.source.neutral_earth_link
    island = _("runs as an island") if item.source.island else ""
    return told(
        teller.value(f"{path}.rated_current_a", item.source.rated_current_a, "A", _("feeds in {}")),
        teller.fact(f"{path}.island", island, _("island ?")),
        teller.fact(f"{path}.neutral_earth_link", link_words(_)[link] if link else "", _("N-E link ?")),
    )


def has_own_electrode(item: Equipment, teller: Teller) -> bool:
    """True when the drawing shows an earth electrode at the equipment."""
    path = f"equipment.{item.id}.charger.earthing"
    if item.charger is None or teller.is_open(path):
        return False
    return item.charger.earthing in _WITH_ELECTRODE
