"""Decisions on earthing, sources and paper: charger earthing, island, notices, routes, surge, bonding."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from trainer.domain.equipment import ChargerEarthing, Equipment, NeutralEarthLink
from trainer.domain.generator.draft import Draft
from trainer.domain.generator.known import known
from trainer.domain.generator.offers import Choice, Offer, Subject, number, offer, setting
from trainer.domain.generator.paperwork import BATTERY_PLACES, SUPPLY_NOTICES
from trainer.domain.notices import GenerationRoute, LoadRoute, Notice
from trainer.domain.supply import SurgeDeviceType

_SINGLE_PHASE_ROUTES: Final = (
    ChargerEarthing.INSTALLATION_EARTH,
    ChargerEarthing.ADDITIONAL_ELECTRODE,
    ChargerEarthing.DEVICE_SENSING_VOLTAGE,
    ChargerEarthing.OWN_TT_ELECTRODE,
)
_THREE_PHASE_ROUTES: Final = (
    ChargerEarthing.INSTALLATION_EARTH,
    ChargerEarthing.BALANCED_THREE_PHASE,
    ChargerEarthing.DEVICE_SENSING_PROTECTIVE_CONDUCTOR,
    ChargerEarthing.OWN_TT_ELECTRODE,
)
_BONDING_MM2: Final = (6.0, 10.0, 16.0)
HOUSE: Final = Subject(key="house", path="installation", words={})


def earthing_offer(draft: Draft, item: Equipment, subject: Subject) -> Offer:
    """How the exposed parts of a charger are earthed."""
    routes = _SINGLE_PHASE_ROUTES if item.phases == 1 else _THREE_PHASE_ROUTES
    choices = [
        Choice(
            id=route.value,
            edits=(setting(f"equipment.{item.id}.charger.earthing", route),),
            costs=(("earthing", route.value),),
        )
        for route in routes
    ]
    return offer(draft.data, "earthing", subject, choices, known(known(item.charger).earthing).value)


def electrode_offer(draft: Draft) -> Offer:
    """Whether an electrode stays with the house when the network is away."""
    ohm = known(draft.earthing.island_electrode_resistance_ohm)
    path = "earthing.island_electrode_resistance_ohm"
    choices = [
        Choice(id="none", edits=(setting(path, None),), costs=(("electrode", "none"),)),
        Choice(id="rod", edits=(setting(path, ohm),), costs=(("electrode", "rod"),), words={"ohm": number(ohm)}),
    ]
    return offer(draft.data, "electrode", HOUSE, choices, "rod")


def link_offer(draft: Draft, item: Equipment, subject: Subject) -> Offer:
    """How neutral and earth are linked while the house is an island."""
    choices = [
        Choice(
            id=link.value,
            edits=(setting(f"equipment.{item.id}.source.neutral_earth_link", link),),
            costs=(("link", link.value),),
        )
        for link in (NeutralEarthLink.NONE, NeutralEarthLink.FIXED, NeutralEarthLink.AUTOMATIC)
    ]
    return offer(draft.data, "link", subject, choices, NeutralEarthLink.AUTOMATIC.value)


def battery_offer(draft: Draft, item: Equipment, subject: Subject) -> Offer:
    """Where the battery stands."""
    own = known(item.battery).location
    places = tuple(dict.fromkeys((own, *BATTERY_PLACES)))
    choices = [
        Choice(
            id=place.value,
            edits=(setting(f"equipment.{item.id}.battery.location", place),),
            costs=(("battery", "any"),),
        )
        for place in sorted(places, key=lambda each: each.value)
    ]
    return offer(draft.data, "battery", subject, choices, own.value)


def notices_offer(draft: Draft) -> Offer:
    """Where the notices of additional supplies go."""
    fixed = draft.notices - frozenset(SUPPLY_NOTICES)
    shown = {
        "consumer_unit": frozenset({Notice.ALTERNATIVE_SUPPLY_AT_CONSUMER_UNIT}),
        "meter_and_consumer_unit": frozenset(
            {Notice.ALTERNATIVE_SUPPLY_AT_METER, Notice.ALTERNATIVE_SUPPLY_AT_CONSUMER_UNIT}
        ),
        "all": frozenset(SUPPLY_NOTICES),
    }
    choices = [
        Choice(id=name, edits=(setting("notices", fixed.union(map(str, added))),), costs=(("notices", name),))
        for name, added in shown.items()
    ]
    return offer(draft.data, "notices", HOUSE, choices, "all")


def load_route_offer(draft: Draft) -> Offer:
    """How the network operator learns of the load."""
    choices = [
        Choice(id=route.value, edits=(setting("network.load_route", route.value),), costs=(("route", route.value),))
        for route in LoadRoute
    ]
    return offer(draft.data, "load_route", HOUSE, choices, str(draft.network.load_route))


def generation_route_offer(draft: Draft) -> Offer:
    """Under which recommendation the sources connect."""
    choices = [
        Choice(
            id=route.value, edits=(setting("network.generation_route", route.value),), costs=(("route", route.value),)
        )
        for route in GenerationRoute
    ]
    return offer(draft.data, "generation_route", HOUSE, choices, str(draft.network.generation_route))


def surge_offer(draft: Draft) -> Offer:
    """Surge protection at the origin, and how long its leads are."""
    long = 1.4
    forms = {
        "none": replace(draft.surge, device=SurgeDeviceType.NONE, lead_length_m=None),
        "type_2_long": replace(draft.surge, lead_length_m=long),
        "type_2": draft.surge,
    }
    choices = [
        Choice(
            id=name,
            edits=(setting("surge.device", form.device), setting("surge.lead_length_m", form.lead_length_m)),
            costs=(("surge", name),),
            words={"lead": number(form.lead_length_m or 0.0)},
        )
        for name, form in forms.items()
    ]
    return offer(draft.data, "surge", HOUSE, choices, "type_2")


def bonding_offer(draft: Draft) -> Offer:
    """The main protective bonding conductors: kept as they are, or made larger."""
    own = known(draft.earthing.main_bonding_mm2)
    choices = [
        Choice(
            id=number(size),
            edits=(setting("earthing.main_bonding_mm2", size),),
            costs=(("bonding", number(size)),),
        )
        for size in _BONDING_MM2
    ]
    return offer(draft.data, "bonding", HOUSE, choices, number(own))
