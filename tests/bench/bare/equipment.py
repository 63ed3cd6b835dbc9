"""What is asked of each item of equipment."""

from __future__ import annotations

import math

from tests.bench.bare.common import feeds_others, nearest_rcd, shares_with_loads
from trainer.domain.calculations.cable_rating import current_carrying_capacity
from trainer.domain.calculations.currents import circuit_current_a, drawn_current_a
from trainer.domain.calculations.disconnection import non_tripping_multiple
from trainer.domain.calculations.string_voltage import string_voltage_v, voltage_factor
from trainer.domain.devices import Device
from trainer.domain.equipment import (
    ChargerEarthing,
    Equipment,
    EquipmentKind,
    NeutralEarthLink,
    PvArray,
    SensesOpenPen,
    SourceKind,
)
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.notices import Notice
from trainer.domain.rules.rcd_need import is_pv, type_needed
from trainer.domain.vocabulary import DeviceKind, EarthingSystem, Location, MakerWord, Premises, RcdType, Stated

_SENSED_BY = {
    ChargerEarthing.DEVICE_SENSING_PROTECTIVE_CONDUCTOR: SensesOpenPen.PROTECTIVE_CONDUCTOR,
    ChargerEarthing.DEVICE_SENSING_VOLTAGE: SensesOpenPen.VOLTAGE,
    ChargerEarthing.EQUIVALENT_DEVICE: SensesOpenPen.EQUIVALENT,
}

_DWELLINGS = frozenset({Premises.DWELLING, Premises.HMO, Premises.HIGHER_RISK_RESIDENTIAL})


def hp_02(item: Equipment, house: Installation, limits: Limits) -> bool | None:
    if item.kind is not EquipmentKind.HEAT_PUMP:
        return None
    need = type_needed(item, limits)
    device = nearest_rcd(house, house.circuits[item.circuit])
    if device is None or device.rcd_type is None or need.case == "maker_requires":
        return None
    return device.rcd_type is RcdType.B or (need.rcd_type is not None and device.rcd_type.covers(need.rcd_type))


def mak_01(item: Equipment, house: Installation, _limits: Limits) -> bool | None:
    if item.maker_rcd_type is None or item.maker_rcd_word is MakerWord.REQUIRED:
        return None
    device = nearest_rcd(house, house.circuits[item.circuit])
    return device is not None and device.rcd_type is not None and device.rcd_type.covers(item.maker_rcd_type)


def pv_01(item: Equipment, house: Installation, _limits: Limits) -> bool | None:
    if not is_pv(item):
        return None
    device = nearest_rcd(house, house.circuits[item.circuit])
    if device is None or device.rcd_type is None:
        return None
    stated = item.maker_rcd_type
    if stated is not None and (item.maker_rcd_word is MakerWord.REQUIRED or device.rcd_type.covers(stated)):
        return device.rcd_type.covers(stated)
    return device.rcd_type is RcdType.B or bool(item.galvanic_separation)


def ev_01(item: Equipment, house: Installation, _limits: Limits) -> bool | None:
    if item.charger is None:
        return None
    circuit = house.circuits[item.circuit]
    if len(house.equipment_on(circuit)) > 1 or circuit.socket_outlets or circuit.luminaires:
        return False
    device = house.overcurrent_device(circuit)
    return device is not None and not feeds_others(house, device, circuit)


def ev_02(item: Equipment, house: Installation, _limits: Limits) -> bool | None:
    if item.charger is None:
        return None
    counted = drawn_current_a(item, house.supply.nominal_voltage_to_earth_v)
    stated = house.circuits[item.circuit].design_current_a
    return stated is None or stated >= counted


def ev_03(item: Equipment, house: Installation, _limits: Limits) -> bool | None:
    return None if item.charger is None else not house.circuits[item.circuit].contains_pen


def ev_04(item: Equipment, house: Installation, limits: Limits) -> bool | None:
    charger = item.charger
    if charger is None:
        return None
    outdoors = item.location is Location.OUTDOORS or charger.charges_outdoors
    if house.supply.earthing_system is not EarthingSystem.TN_C_S or not outdoors:
        return True
    route = charger.earthing
    if route in (ChargerEarthing.INSTALLATION_EARTH, ChargerEarthing.BALANCED_THREE_PHASE, None):
        return False
    if route not in _SENSED_BY:
        return True
    if charger.open_pen is not _SENSED_BY[route]:
        return False
    return (charger.open_pen_disconnects_within_s or 0) <= limits.charger.open_pen_disconnects_within_s.value


def ev_08(item: Equipment, house: Installation, limits: Limits) -> bool | None:
    charger = item.charger
    if charger is None:
        return None
    circuit = house.circuits[item.circuit]
    device = nearest_rcd(house, circuit)
    if device is None:
        return False
    rating = device.rated_residual_operating_current_ma or math.inf
    if rating > limits.residual.additional_protection_ma.value or device.rcd_type is RcdType.AC:
        return False
    threshold = limits.charger.direct_current_detection_ma.value
    detection = device.direct_current_detection_ma
    if device.rcd_type is not RcdType.B and (detection is None or detection > threshold):
        if charger.direct_current_detection is not Stated.YES:
            return False
        if (charger.direct_current_detection_ma or 0) > threshold:
            return False
    return not feeds_others(house, device, circuit)


def ev_09(item: Equipment, house: Installation, _limits: Limits) -> bool | None:
    if item.charger is None:
        return None
    circuit = house.circuits[item.circuit]
    device = nearest_rcd(house, circuit)
    return None if device is None else device.poles >= circuit.live_conductors


def ev_10(item: Equipment, _house: Installation, _limits: Limits) -> bool | None:
    return None if item.charger is None else not item.plug_in


def ev_14(item: Equipment, house: Installation, _limits: Limits) -> bool | None:
    device = None if item.charger is None else house.overcurrent_device(house.circuits[item.circuit])
    if device is None:
        return None
    factor = house.boards[device.board].rated_diversity_factor or 0
    return drawn_current_a(item, house.supply.nominal_voltage_to_earth_v) <= device.rated_current_a * factor


def pv_02(item: Equipment, house: Installation, _limits: Limits) -> bool | None:
    return not shares_with_loads(house, house.circuits[item.circuit]) if is_pv(item) else None


def pv_03(item: Equipment, house: Installation, _limits: Limits) -> bool | None:
    return house.overcurrent_device(house.circuits[item.circuit]) is not None if is_pv(item) else None


def pv_04(item: Equipment, _house: Installation, _limits: Limits) -> bool | None:
    source = item.source
    return None if source is None or not is_pv(item) else bool(source.isolator_ac and source.isolator_dc)


def _highest_voltage_v(array: PvArray, limits: Limits) -> float:
    coefficient, coldest = array.voltage_coefficient_percent_per_k, array.minimum_temperature_c
    if coefficient is None or coldest is None:
        factor = limits.sources.voltage_factor_without_data.value
    else:
        factor = voltage_factor(coefficient, coldest, limits.sources.standard_test_temperature_c.value)
    return string_voltage_v(array.modules_in_series, array.open_circuit_voltage_v, factor)


def pv_05(item: Equipment, _house: Installation, limits: Limits) -> bool | None:
    array = item.pv_array
    if array is None:
        return None
    return bool(array.class_ii) or _highest_voltage_v(array, limits) <= limits.sources.extra_low_voltage_v.value


def pv_06(item: Equipment, _house: Installation, limits: Limits) -> bool | None:
    array = item.pv_array
    return None if array is None else _highest_voltage_v(array, limits) <= (array.maximum_input_voltage_v or 0)


def pv_07(item: Equipment, _house: Installation, limits: Limits) -> bool | None:
    array = item.pv_array
    if array is None:
        return None
    if array.strings_in_parallel == 1 or array.string_fuse_rated_current_a is not None:
        return True
    factor = limits.sources.highest_current_factor.value
    reverse = (array.strings_in_parallel - 1) * factor * array.short_circuit_current_a
    return reverse <= (array.module_maximum_overcurrent_protection_a or 0)


def pv_08(item: Equipment, _house: Installation, limits: Limits) -> bool | None:
    array = item.pv_array
    if array is None or array.string_fuse_rated_current_a is None:
        return None
    factors, short, fuse = limits.sources.string_fuse, array.short_circuit_current_a, array.string_fuse_rated_current_a
    most = min(factors["most"].value * short, array.module_maximum_overcurrent_protection_a or math.inf)
    return factors["least_accepted"].value * short <= fuse <= most


def pv_09(item: Equipment, _house: Installation, _limits: Limits) -> bool | None:
    return None if item.pv_array is None else False


def pv_10(item: Equipment, house: Installation, _limits: Limits) -> bool | None:
    array = item.pv_array
    if array is None:
        return None
    if array.frame_is_extraneous:
        return array.frame_earthing == "bonded"
    if not array.class_ii:
        return array.frame_earthing in ("protective_conductor", "bonded")
    return array.frame_earthing in ("none", "functional") or (house.supply.earthing_system is not EarthingSystem.TN_C_S)


def gen_01(item: Equipment, house: Installation, limits: Limits) -> bool | None:
    source = item.source
    if source is None:
        return None
    circuit = house.circuits[item.circuit]
    if source.plug_connected or not shares_with_loads(house, circuit):
        return not source.plug_connected
    device = house.overcurrent_device(circuit)
    if device is None:
        return False
    capacity = current_carrying_capacity(circuit, limits).capacity_a
    return capacity >= device.rated_current_a + source.rated_current_a


def _shared_devices(item: Equipment, house: Installation) -> list[Device]:
    circuit = house.circuits[item.circuit]
    loads = shares_with_loads(house, circuit)
    return [
        device
        for device in house.devices_above(circuit)
        if device.detects_residual_current and (loads or feeds_others(house, device, circuit))
    ]


def gen_02(item: Equipment, house: Installation, _limits: Limits) -> bool | None:
    return None if item.source is None else not _shared_devices(item, house)


def gen_03(item: Equipment, house: Installation, limits: Limits) -> bool | None:
    if item.source is None:
        return None
    most = limits.residual.additional_protection_ma.value
    return not any((each.rated_residual_operating_current_ma or 0) <= most for each in _shared_devices(item, house))


def gen_06(item: Equipment, _house: Installation, _limits: Limits) -> bool | None:
    source = item.source
    if source is None or not source.island:
        return None
    return source.neutral_earth_link is not NeutralEarthLink.NONE


def gen_07(item: Equipment, house: Installation, _limits: Limits) -> bool | None:
    source = item.source
    if source is None or not source.island or source.neutral_earth_link in (None, NeutralEarthLink.NONE):
        return None
    if source.neutral_earth_link is NeutralEarthLink.FIXED:
        return False
    for other in house.equipment.values():
        also = other.source if other.id != item.id else None
        if also is not None and also.island and also.neutral_earth_link not in (None, NeutralEarthLink.NONE):
            return False
    return bool(source.island_isolator_opens_all_live)


def gen_11(item: Equipment, _house: Installation, limits: Limits) -> bool | None:
    rise = None if item.source is None else item.source.voltage_rise_percent
    return None if rise is None else rise <= limits.sources.voltage_rise_percent.value


def bat_01(item: Equipment, house: Installation, limits: Limits) -> bool | None:
    battery = item.battery
    if battery is None or house.premises not in _DWELLINGS:
        return None
    if battery.location in (Location.BEDROOM, Location.ESCAPE_ROUTE, Location.LOFT):
        return False
    if battery.location is not Location.OUTDOORS:
        return True
    return (battery.distance_to_openings_m or 0) >= limits.sources.battery_distance_m.value


def bat_02(item: Equipment, _house: Installation, _limits: Limits) -> bool | None:
    return None if item.battery is None else False


def bat_04(item: Equipment, house: Installation, _limits: Limits) -> bool | None:
    battery = item.battery
    if battery is None or house.premises not in _DWELLINGS:
        return None
    noticed = Notice.FIRE_SERVICE_BATTERY in house.notices or bool(battery.fire_service_notice)
    return bool(battery.alarm_linked) and noticed


def hp_04(item: Equipment, house: Installation, limits: Limits) -> bool | None:
    motor = item.motor
    if motor is None:
        return None
    if not motor.direct_on_line:
        return True
    device = house.overcurrent_device(house.circuits[item.circuit])
    if device is None or device.curve is None or device.kind is DeviceKind.FUSE:
        return None
    return (motor.starting_current_a or 0) <= non_tripping_multiple(device.curve, limits) * device.rated_current_a


def hp_05(item: Equipment, house: Installation, _limits: Limits) -> bool | None:
    device = house.overcurrent_device(house.circuits[item.circuit]) if item.kind is EquipmentKind.HEAT_PUMP else None
    if device is None:
        return None
    most, least = item.maker_maximum_overcurrent_device_a, item.maker_minimum_circuit_current_a
    if (least is not None and device.rated_current_a < least) or (most is not None and device.rated_current_a > most):
        return False
    factor = house.boards[device.board].rated_diversity_factor
    load = circuit_current_a(item, house.supply.nominal_voltage_to_earth_v)
    return factor is None or load <= device.rated_current_a * factor


def iso_01a(item: Equipment, _house: Installation, _limits: Limits) -> bool | None:
    source = item.source
    if source is None or source.kind is SourceKind.VEHICLE or is_pv(item):
        return None
    return bool(source.isolator_ac) and (source.kind is not SourceKind.BATTERY or bool(source.isolator_dc))


CONDITIONS = {
    "HP-02": hp_02,
    "MAK-01": mak_01,
    "PV-01": pv_01,
    "EV-01": ev_01,
    "EV-02": ev_02,
    "EV-03": ev_03,
    "EV-04": ev_04,
    "EV-08": ev_08,
    "EV-09": ev_09,
    "EV-10": ev_10,
    "EV-14": ev_14,
    "PV-02": pv_02,
    "PV-03": pv_03,
    "PV-04": pv_04,
    "PV-05": pv_05,
    "PV-06": pv_06,
    "PV-07": pv_07,
    "PV-08": pv_08,
    "PV-09": pv_09,
    "PV-10": pv_10,
    "GEN-01": gen_01,
    "GEN-02": gen_02,
    "GEN-03": gen_03,
    "GEN-06": gen_06,
    "GEN-07": gen_07,
    "GEN-11": gen_11,
    "BAT-01": bat_01,
    "BAT-02": bat_02,
    "BAT-04": bat_04,
    "HP-04": hp_04,
    "HP-05": hp_05,
    "ISO-01A": iso_01a,
}
