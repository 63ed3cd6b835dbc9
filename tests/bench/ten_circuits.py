"""An invented dwelling of ten circuits with charger, heat pump, PV and storage, every fact stated."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from tests.domain.houses import (
    breaker,
    cable,
    charger,
    circuit,
    everyday_supply,
    heat_pump,
    inverter,
    item,
    rcbo,
    rccb,
    switch,
)
from tests.domain.houses import house as house_of
from trainer.domain.cables import CableType, Circuit
from trainer.domain.devices import Board, Device
from trainer.domain.equipment import (
    Battery,
    ChargerEarthing,
    Equipment,
    EquipmentKind,
    Motor,
    NeutralEarthLink,
    PvArray,
    SensesOpenPen,
    SourceKind,
)
from trainer.domain.installation import Installation, Network
from trainer.domain.notices import GenerationRoute, LoadRoute, Notice, Procedure
from trainer.domain.supply import Earthing, Supply, SurgeDeviceType, SurgeProtection
from trainer.domain.vocabulary import (
    Curve,
    DeviceKind,
    Direction,
    EarthingSystem,
    FrontEnd,
    Location,
    MakerWord,
    RcdType,
)

IN_WALL: dict[str, Any] = {"concealed_depth_mm": 20.0}
STATED: dict[str, Any] = {
    "modules": 1,
    "breaking_capacity_ka": 6.0,
    "standard": "BS EN 61009-1",
    "direction": Direction.UNIDIRECTIONAL,
}
MEASURED: dict[str, Any] = {"measured_insulation_mohm": 200.0}


def ten_circuits() -> Installation:
    """The house as it is: everything complies, apart from advice."""
    return house_of(
        *_boards(),
        *_devices(),
        *_circuits(),
        *_equipment(),
        supply=_supply(),
        earthing=Earthing(
            extraneous_parts=True,
            main_bonding_mm2=10.0,
            earthing_conductor_mm2=16.0,
            island_electrode_resistance_ohm=60.0,
        ),
        surge=SurgeProtection(
            device=SurgeDeviceType.TYPE_2,
            lead_length_m=0.4,
            external_lightning_protection=False,
            serious_consequence=False,
            owner_declines=False,
        ),
        network=Network(load_route=LoadRoute.APPLY, generation_route=GenerationRoute.G99, export_limited=True),
        notices=frozenset((*Notice, *Procedure)),
    )


def _supply() -> Supply:
    supply = everyday_supply(EarthingSystem.TN_C_S)
    return replace(
        supply,
        external_earth_fault_loop_impedance_ohm=0.25,
        prospective_fault_current_ka=2.0,
        neutral_mm2=25.0,
        looped=False,
        declared_adequate=True,
        agreed_export_limit_w=3680.0,
    )


def _boards() -> tuple[Board, ...]:
    common: dict[str, Any] = {
        "standard": "BS EN 61439-3",
        "noncombustible": True,
        "metal_enclosure": True,
        "class_ii_supply_side": True,
    }
    main = Board(
        id="main",
        rated_current_a=160.0,
        conditional_rating_ka=16.0,
        rated_diversity_factor=1.0,
        ways=24,
        tails_length_m=2.0,
        tails_mm2=25.0,
        **common,
    )
    garage = Board(
        id="garage", fed_by="garage_feed", rated_current_a=63.0, rated_diversity_factor=1.0, ways=8, **common
    )
    return (main, garage)


def _devices() -> tuple[Device, ...]:
    both_ways: dict[str, Any] = STATED | {"direction": Direction.BIDIRECTIONAL}
    shared: dict[str, Any] = {"modules": 2, "standard": "BS EN 61008-1"}
    return (
        switch(modules=2),
        rccb("shared", rated_current_a=100.0, **shared),
        breaker("lights_way", fed_by="shared", rated_current_a=6.0, **(STATED | {"standard": "BS EN 60898-1"})),
        breaker("cooker_way", fed_by="shared", **(STATED | {"standard": "BS EN 60898-1"})),
        rcbo("ring_way", measured_break_time_ms=22.0, **STATED),
        rcbo("shower_way", **STATED),
        rcbo("charger_way", **STATED),
        rcbo("heat_pump_way", "B", rated_current_a=20.0, curve=Curve.C, **STATED),
        rcbo("pv_way", "B", rated_current_a=20.0, **both_ways),
        rcbo("battery_way", "B", rated_current_a=20.0, **both_ways),
        rccb("garage_rccb", "A", 100.0, residual_delay="S", rated_current_a=100.0, **shared),
        breaker("garage_way", fed_by="garage_rccb", rated_current_a=32.0, **(STATED | {"standard": "BS EN 60898-1"})),
        Device(
            id="garage_switch",
            board="garage",
            fed_by="garage",
            kind=DeviceKind.SWITCH,
            rated_current_a=63.0,
            poles=2,
            modules=2,
        ),
        rcbo("garage_sockets_way", board="garage", fed_by="garage_switch", rated_current_a=16.0, **STATED),
    )


def _circuits() -> tuple[Circuit, ...]:
    outlets: dict[str, Any] = {"socket_outlets": True, "socket_outlet_rated_current_a": 13.0}
    armoured = cable(
        type=CableType.ARMOURED_THERMOSETTING_90,
        cross_section_mm2=10.0,
        protective_conductor_mm2=None,
        conductor_temperature_c=70.0,
    )
    thick = cable(cross_section_mm2=10.0, protective_conductor_mm2=4.0, **IN_WALL)
    middle = cable(cross_section_mm2=4.0, protective_conductor_mm2=1.5, length_m=12.0)
    return (
        circuit("ring", "ring_way", ring=True, cable=cable(length_m=60.0, **IN_WALL), **outlets, **MEASURED),
        circuit(
            "lights",
            "lights_way",
            cable=cable(cross_section_mm2=1.5, protective_conductor_mm2=1.0, grouped_with=1, bunched=False, **IN_WALL),
            luminaires=True,
            design_current_a=2.0,
            **MEASURED,
        ),
        circuit("cooker", "cooker_way", cable=cable(cross_section_mm2=6.0, protective_conductor_mm2=2.5), **MEASURED),
        circuit("shower", "shower_way", cable=thick, in_bathroom_zone=True, location=Location.BATHROOM, **MEASURED),
        circuit("charger", "charger_way", cable=replace(armoured, length_m=18.0), **MEASURED),
        circuit("heat_pump", "heat_pump_way", cable=middle, measured_earth_fault_loop_impedance_ohm=0.6, **MEASURED),
        circuit("pv", "pv_way", cable=middle, **MEASURED),
        circuit("battery", "battery_way", cable=middle, **MEASURED),
        circuit("garage_feed", "garage_way", cable=replace(armoured, length_m=25.0), **MEASURED),
        circuit("garage_sockets", "garage_sockets_way", cable=cable(length_m=10.0), **outlets, **MEASURED),
    )


def _equipment() -> tuple[Equipment, ...]:
    source: dict[str, Any] = {
        "type_tested": True,
        "isolator_ac": True,
        "isolator_dc": True,
        "residual_monitoring": True,
    }
    return (
        item("hob", "cooker", EquipmentKind.HOB, rated_current_a=20.0),
        item("oven", "cooker", EquipmentKind.OVEN, rated_current_a=10.0),
        item("shower", "shower", EquipmentKind.SHOWER, rated_current_a=27.0),
        charger(
            "charger",
            "charger",
            rated_current_a=28.0,
            earthing=ChargerEarthing.DEVICE_SENSING_VOLTAGE,
            open_pen=SensesOpenPen.VOLTAGE,
            open_pen_disconnects_within_s=4.0,
            direct_current_detection_ma=6.0,
            location=Location.OUTDOORS,
            load_limit_a=6.0,
            load_limit_fail_safe=True,
            protective_conductor_current_ma=1.5,
        ),
        heat_pump(
            "heat_pump",
            "heat_pump",
            FrontEnd.BRIDGE_POWER_FACTOR_STAGE,
            rated_current_a=7.0,
            protective_conductor_current_ma=3.0,
            maker_maximum_overcurrent_device_a=25.0,
            maker_minimum_circuit_current_a=16.0,
            motor=Motor(direct_on_line=True, starting_current_a=70.0),
        ),
        inverter(
            "pv", "pv", pv_array=_array(), voltage_rise_percent=0.5, protective_conductor_current_ma=4.0, **source
        ),
        inverter(
            "battery",
            "battery",
            SourceKind.BATTERY,
            battery=Battery(location=Location.GARAGE, alarm_linked=True, fire_service_notice=True),
            island=True,
            island_fault_current_a=30.0,
            neutral_earth_link=NeutralEarthLink.AUTOMATIC,
            island_isolator_opens_all_live=True,
            charging_current_a=3.0,
            maker_rcd_type=RcdType.B,
            maker_rcd_word=MakerWord.RECOMMENDED,
            voltage_rise_percent=0.4,
            protective_conductor_current_ma=2.0,
            **source,
        ),
    )


def _array() -> PvArray:
    return PvArray(
        modules_in_series=10,
        strings_in_parallel=3,
        open_circuit_voltage_v=41.0,
        short_circuit_current_a=11.0,
        voltage_coefficient_percent_per_k=-0.28,
        minimum_temperature_c=-15.0,
        module_maximum_overcurrent_protection_a=20.0,
        string_fuse_rated_current_a=20.0,
        maximum_input_voltage_v=600.0,
        class_ii=True,
        frame_is_extraneous=False,
        frame_earthing="none",
    )
