"""What is not known, in words: every attribute of a record has its phrase."""

from __future__ import annotations

from functools import cache

from trainer.domain.installation import Installation
from trainer.explain.names import Translate, name_of


def attribute_words(house: Installation, path: str, translate: Translate) -> str:
    """A path such as ``devices.way6.rcd_type`` as a phrase: the residual current type of way 6."""
    phrase = phrases(translate).get(_attribute(path))
    if phrase is None:
        raise KeyError(f"{path}: no words for this attribute")
    if path.partition(".")[0] in _SPEAKS_FOR_ITSELF:
        return phrase
    return translate("{what} ({where})").format(what=phrase, where=name_of(house, path, translate))


_SPEAKS_FOR_ITSELF = frozenset(
    {"supply", "earthing", "surge", "network", "notices", "premises", "stated_maximum_demand_a"}
)


def _attribute(path: str) -> str:
    """The attribute with its record: ``devices.rcd_type``, ``equipment.charger.earthing``, ``premises``."""
    parts = path.split(".")
    if len(parts) > 2 and parts[0] in ("devices", "circuits", "equipment", "boards"):
        del parts[1]
    return ".".join(parts)


@cache
def phrases(_: Translate) -> dict[str, str]:
    """The phrase of each attribute that can be missing."""
    return {**_origin(_), **_board(_), **_circuit(_), **_equipment(_), **_charger(_), **_source(_)}


def _origin(_: Translate) -> dict[str, str]:
    return {
        "premises": _("the use of the premises"),
        "notices": _("which notices are there"),
        "stated_maximum_demand_a": _("the maximum demand"),
        "supply.earthing_system": _("the earthing system of the supply"),
        "supply.external_earth_fault_loop_impedance_ohm": _("the external earth fault loop impedance Ze"),
        "supply.prospective_fault_current_ka": _("the prospective fault current"),
        "supply.fuse_rated_current_a": _("the rating of the cut-out fuse"),
        "supply.apparent_earthing_system": _("what the earthing looks like on site"),
        "supply.looped": _("whether the service is looped"),
        "supply.neutral_mm2": _("the size of the supply neutral"),
        "supply.agreed_export_limit_w": _("the agreed export limit"),
        "supply.declared_adequate": _("whether the network operator declares the supply adequate"),
        "earthing.electrode_resistance_ohm": _("the resistance of the earth electrode"),
        "earthing.island_electrode_resistance_ohm": _("the resistance of the electrode for island mode"),
        "earthing.earthing_conductor_mm2": _("the size of the earthing conductor"),
        "earthing.main_bonding_mm2": _("the size of the main bonding"),
        "earthing.extraneous_parts": _("whether there are extraneous-conductive-parts"),
        "surge.device": _("the surge protection"),
        "surge.lead_length_m": _("the length of the surge protection's leads"),
        "surge.one_plus_one_connection": _("how the surge protection is connected"),
        "surge.external_lightning_protection": _("whether there is external lightning protection"),
        "surge.serious_consequence": _("whether a surge could have serious consequences"),
        "surge.owner_declines": _("whether the owner declines surge protection"),
        "network.load_route": _("the route taken with the network operator for the load"),
        "network.generation_route": _("the route taken with the network operator for generation"),
        "network.export_limited": _("whether export is limited"),
    }


def _board(_: Translate) -> dict[str, str]:
    return {
        "boards.ways": _("the number of ways"),
        "boards.rated_current_a": _("the rated current of the assembly"),
        "boards.conditional_rating_ka": _("the conditional rating"),
        "boards.rated_diversity_factor": _("the rated diversity factor"),
        "boards.standard": _("the standard of the assembly"),
        "boards.metal_enclosure": _("whether the enclosure is metal"),
        "boards.noncombustible": _("whether the enclosure is non-combustible"),
        "boards.class_ii_supply_side": _("how the part before the first residual current device is insulated"),
        "boards.tails_length_m": _("the length of the tails"),
        "boards.tails_mm2": _("the size of the tails"),
        "boards.year_installed": _("the year of installation"),
        "devices.rated_current_a": _("the rated current"),
        "devices.poles": _("the number of poles"),
        "devices.modules": _("the width in modules"),
        "devices.standard": _("the product standard"),
        "devices.rcd_type": _("the residual current type"),
        "devices.rated_residual_operating_current_ma": _("the rated residual operating current"),
        "devices.residual_delay": _("whether the device is time-delayed"),
        "devices.direction": _("whether the device may be fed from either side"),
        "devices.curve": _("the curve"),
        "devices.breaking_capacity_ka": _("the breaking capacity"),
        "devices.declared_load_current_a": _("the load current that the maker declares"),
        "devices.measured_break_time_ms": _("the measured break time"),
        "devices.direct_current_detection_ma": _("the direct current detection"),
        "devices.isolates": _("whether the device is suitable for isolation"),
    }


def _circuit(_: Translate) -> dict[str, str]:
    return {
        "circuits.cable": _("the cable"),
        "circuits.design_current_a": _("the design current"),
        "circuits.socket_outlet_rated_current_a": _("the rated current of the socket-outlets"),
        "circuits.measured_earth_fault_loop_impedance_ohm": _("the measured earth fault loop impedance"),
        "circuits.measured_insulation_mohm": _("the measured insulation resistance"),
        "circuits.voltage_drop_to_board_v": _("the voltage drop to the board"),
        "circuits.contains_pen": _("whether the circuit contains a PEN conductor"),
        "circuits.in_bathroom_zone": _("whether the circuit enters a bathroom zone"),
        "circuits.cable.type": _("a rating table for this cable"),
        "circuits.cable.cross_section_mm2": _("a tabulated value for this cross-section"),
        "circuits.cable.length_m": _("the length of the cable"),
        "circuits.cable.reference_method": _("a tabulated rating for this reference method"),
        "circuits.cable.protective_conductor_mm2": _("the size of the protective conductor"),
        "circuits.cable.grouped_with": _("a grouping factor for so many circuits"),
        "circuits.cable.ambient_c": _("a factor for this ambient temperature"),
        "circuits.cable.ground_c": _("a factor for this ground temperature"),
        "circuits.cable.soil_resistivity_k_m_per_w": _("a factor for this soil"),
        "circuits.cable.insulation_contact_mm": _("the length in thermal insulation"),
        "circuits.cable.concealed_depth_mm": _("the depth at which the cable is concealed"),
        "circuits.cable.conductor_temperature_c": _("the design temperature of the conductor"),
        "circuits.cable.terminals_temperature_c": _("the temperature that the terminals allow"),
    }


def _equipment(_: Translate) -> dict[str, str]:
    return {
        "equipment.rated_current_a": _("the rated current"),
        "equipment.rated_power_w": _("the rated power"),
        "equipment.front_end": _("what stands behind the supply terminals (ask the maker)"),
        "equipment.galvanic_separation": _("whether there is galvanic separation (ask the maker)"),
        "equipment.protective_conductor_current_ma": _("the protective conductor current"),
        "equipment.standing_dc_ma": _("the standing direct current"),
        "equipment.maker_rcd_type": _("the residual current type that the maker states"),
        "equipment.maker_rcd_word": _("whether the maker requires or recommends it"),
        "equipment.maker_rcd_rated_residual_operating_current_ma": _(
            "the rated residual operating current that the maker states"
        ),
        "equipment.maker_maximum_overcurrent_device_a": _("the largest overcurrent device that the maker allows"),
        "equipment.maker_minimum_circuit_current_a": _("the least circuit current that the maker states"),
        "equipment.maker_curve": _("the curve that the maker states"),
        "equipment.built_in_rcd": _("the residual current device inside"),
        "equipment.source": _("the facts of the source"),
        "equipment.charger": _("the facts of the charging point"),
        "equipment.battery": _("where the battery stands"),
        "equipment.battery.location": _("where the battery stands"),
        "equipment.battery.distance_to_openings_m": _("the distance of the battery from doors, windows and vents"),
        "equipment.battery.alarm_linked": _("whether an alarm by the battery is linked"),
        "equipment.battery.fire_service_notice": _("whether there is a notice for the fire service"),
        "equipment.motor": _("how the motor starts"),
        "equipment.motor.starting_current_a": _("the starting current"),
    }


def _charger(_: Translate) -> dict[str, str]:
    return {
        "equipment.charger.earthing": _("how the charging point is earthed"),
        "equipment.charger.direct_current_detection": _("whether the sheet names detection of d.c."),
        "equipment.charger.direct_current_detection_ma": _("the threshold of the d.c. detection"),
        "equipment.charger.direct_current_detection_standard": _("the standard of the d.c. detection"),
        "equipment.charger.open_pen": _("whether the sheet names detection of an open PEN"),
        "equipment.charger.open_pen_disconnects_within_s": _("the time in which it acts on an open PEN"),
        "equipment.charger.charges_outdoors": _("whether vehicles are charged outdoors"),
        "equipment.charger.electrode_resistance_ohm": _("the resistance of the charging point's electrode"),
        "equipment.charger.electrode_clear_of_bonded_metal": _("whether the electrode is clear of bonded metal"),
        "equipment.charger.simultaneous_reach_of_earths": _("whether both earths can be touched at once"),
        "equipment.charger.armour_isolated_at_one_end": _("whether the armour is separated at one end"),
        "equipment.charger.load_limit_a": _("the load limit"),
        "equipment.charger.load_limit_fail_safe": _("whether the load limit fails safe"),
    }


def _source(_: Translate) -> dict[str, str]:
    return {
        "equipment.source.rated_current_a": _("the output current"),
        "equipment.source.island": _("whether it runs as an island"),
        "equipment.source.island_fault_current_a": _("the fault current in island mode"),
        "equipment.source.neutral_earth_link": _("how neutral and earth are linked in island mode"),
        "equipment.source.island_isolator_opens_all_live": _("whether the island isolator opens all live conductors"),
        "equipment.source.residual_monitoring": _("whether it has residual current monitoring"),
        "equipment.source.type_tested": _("whether it is fully type tested"),
        "equipment.source.isolator_ac": _("isolation on the a.c. side"),
        "equipment.source.isolator_dc": _("isolation on the d.c. side"),
        "equipment.source.voltage_rise_percent": _("the voltage rise"),
        "equipment.source.charging_current_a": _("the charging current"),
        "equipment.pv_array": _("the data of the array"),
        "equipment.pv_array.voltage_coefficient_percent_per_k": _("the temperature coefficient of voltage"),
        "equipment.pv_array.minimum_temperature_c": _("the lowest temperature"),
        "equipment.pv_array.module_maximum_overcurrent_protection_a": _(
            "the largest overcurrent protection that the modules allow"
        ),
        "equipment.pv_array.string_fuse_rated_current_a": _("the rating of the string fuses"),
        "equipment.pv_array.maximum_input_voltage_v": _("the largest input voltage"),
        "equipment.pv_array.class_ii": _("whether the d.c. side is Class II"),
        "equipment.pv_array.frame_is_extraneous": _("whether the frame is an extraneous-conductive-part"),
        "equipment.pv_array.frame_earthing": _("how the frame is earthed"),
    }
