"""What is asked of each circuit."""

from __future__ import annotations

import math

from tests.bench.bare.common import sensitive
from trainer.domain.cables import CableType, Circuit
from trainer.domain.calculations.adiabatic import (
    least_by_breaker_mm2,
    let_through_a2s,
    live_conductor_k,
    protective_conductor,
    tabulated_protective_conductor_mm2,
)
from trainer.domain.calculations.cable_rating import current_carrying_capacity
from trainer.domain.calculations.demand import design_current_a
from trainer.domain.calculations.disconnection import (
    TN,
    maximum_disconnection_time_s,
    maximum_impedance_ohm,
    overcurrent_time_s,
)
from trainer.domain.calculations.loops import conductor_temperature_c, earth_fault_loop_impedance
from trainer.domain.calculations.residual import fastest_residual_device, largest_loop_by_residual_device
from trainer.domain.calculations.short_circuit import least_short_circuit_current_a
from trainer.domain.calculations.voltage_drop import maximum_voltage_drop_v, voltage_drop_v
from trainer.domain.devices import Device
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.vocabulary import Premises

_ARMOURED = frozenset({CableType.ARMOURED_THERMOPLASTIC_70, CableType.ARMOURED_THERMOSETTING_90})
_HOUSEHOLDS = frozenset({Premises.DWELLING, Premises.HMO, Premises.HIGHER_RISK_RESIDENTIAL})


def rcd_01(circuit: Circuit, house: Installation, limits: Limits) -> bool | None:
    if not (circuit.socket_outlets or circuit.outdoor_mobile_equipment):
        return None
    rated = circuit.socket_outlet_rated_current_a
    if rated is not None and rated > limits.residual.socket_outlet_rated_current_a.value:
        return None
    return sensitive(circuit, house, limits.residual.additional_protection_ma.value)


def rcd_02(circuit: Circuit, house: Installation, limits: Limits) -> bool | None:
    if not circuit.luminaires or house.premises not in _HOUSEHOLDS:
        return None
    return sensitive(circuit, house, limits.residual.additional_protection_ma.value)


def rcd_04(circuit: Circuit, house: Installation, limits: Limits) -> bool | None:
    cable = circuit.cable
    if circuit.supervised_users_only or cable is None:
        return None
    depth = cable.concealed_depth_mm
    shallow = depth is not None and depth < limits.residual.concealed_depth_mm.value
    if not shallow and not cable.partition_with_metal_parts:
        return None
    if cable.earthed_metal_covering or cable.type in _ARMOURED or cable.mechanically_protected:
        return True
    return cable.in_safe_zone and sensitive(circuit, house, limits.residual.additional_protection_ma.value)


def loc_01(circuit: Circuit, house: Installation, limits: Limits) -> bool | None:
    if not circuit.in_bathroom_zone:
        return None
    return sensitive(circuit, house, limits.residual.additional_protection_ma.value)


def hp_03(circuit: Circuit, house: Installation, limits: Limits) -> bool | None:
    items = house.equipment_on(circuit)
    if not items:
        return None
    current = math.fsum(item.protective_conductor_current_ma or 0 for item in items)
    if current <= limits.residual.protective_conductor_current_ma["high_integrity"].value:
        return True
    cable, sizes = circuit.cable, limits.residual.high_integrity_mm2
    if cable is None:
        return False
    if cable.duplicated_protective_conductor:
        return True
    size = cable.protective_conductor_mm2 or 0
    if size >= sizes["single"].value:
        return True
    return cable.mechanically_protected and size >= sizes["mechanically_protected"].value


def isl_01(circuit: Circuit, house: Installation, limits: Limits) -> bool | None:
    if not house.has_island or not house.is_final(circuit):
        return None
    in_the_fault: list[Device] = []
    for above in house.devices_above(circuit):
        if any(item.source is not None and item.source.island for item in house.sources_below(above)):
            break
        in_the_fault.append(above)
    if any(each.detects_residual_current for each in in_the_fault):
        return True
    items = house.equipment_on(circuit)
    if items and all(
        item.source is not None and (item.source.island or item.source.residual_monitoring) for item in items
    ):
        return True
    device = next((each for each in in_the_fault if each.breaks_overcurrent), None)
    if device is None:
        return False
    voltage = house.supply.nominal_voltage_to_earth_v
    allowed_s = maximum_disconnection_time_s(house, circuit, device.rated_current_a, TN, limits)
    impedance = maximum_impedance_ohm(device, allowed_s, voltage, limits)
    weakest = min(
        each.source.island_fault_current_a or 0
        for each in house.equipment.values()
        if each.source is not None and each.source.island
    )
    return weakest >= limits.overcurrent.minimum_voltage_factor.value * voltage / impedance


def oc_01(circuit: Circuit, house: Installation, limits: Limits) -> bool | None:
    device = house.overcurrent_device(circuit)
    rated = house.supply.fuse_rated_current_a if device is None else device.rated_current_a
    if rated is None or design_current_a(house, circuit, limits)[0] > rated:
        return False
    capacity = current_carrying_capacity(circuit, limits).capacity_a
    if circuit.ring and circuit.cable is not None:
        if circuit.cable.cross_section_mm2 < limits.overcurrent.ring_conductor_mm2.value:
            return False
        return rated <= limits.overcurrent.ring_device_a.value and capacity >= limits.overcurrent.ring_cable_a.value
    return rated <= capacity


def oc_02(circuit: Circuit, house: Installation, limits: Limits) -> bool | None:
    device = house.overcurrent_device(circuit)
    if device is None:
        return None
    voltage = house.supply.nominal_voltage_to_earth_v
    allowed_s = maximum_disconnection_time_s(house, circuit, device.rated_current_a, TN, limits)
    ohm = earth_fault_loop_impedance(house, circuit, limits)[0]
    if ohm <= maximum_impedance_ohm(device, allowed_s, voltage, limits):
        return True
    by_rcd = largest_loop_by_residual_device(house, circuit, limits)
    return by_rcd is not None and ohm <= by_rcd.impedance_ohm


def oc_03(circuit: Circuit, house: Installation, limits: Limits) -> bool | None:
    measured = circuit.measured_earth_fault_loop_impedance_ohm
    device = house.overcurrent_device(circuit)
    if measured is None or device is None:
        return None
    voltage = house.supply.nominal_voltage_to_earth_v
    allowed_s = maximum_disconnection_time_s(house, circuit, device.rated_current_a, TN, limits)
    table = maximum_impedance_ohm(device, allowed_s, voltage, limits)
    if measured <= table:
        return measured <= table * limits.verification.measured_impedance_share.value
    by_rcd = largest_loop_by_residual_device(house, circuit, limits)
    return by_rcd is not None and measured <= by_rcd.impedance_ohm


def oc_04(circuit: Circuit, house: Installation, limits: Limits) -> bool | None:
    device = house.overcurrent_device(circuit)
    if device is None:
        return None
    voltage = house.supply.nominal_voltage_to_earth_v
    allowed_s = maximum_disconnection_time_s(house, circuit, device.rated_current_a, TN, limits)
    ohm = earth_fault_loop_impedance(house, circuit, limits)[0]
    promised_s = overcurrent_time_s(device, ohm, voltage, limits)
    if promised_s is not None and promised_s <= allowed_s:
        return True
    fastest = fastest_residual_device(house, circuit, voltage / ohm, limits)
    if fastest is None:
        return None
    return fastest.break_time_s is not None and fastest.break_time_s <= allowed_s


def oc_05(circuit: Circuit, house: Installation, limits: Limits) -> bool | None:
    device, cable = house.overcurrent_device(circuit), circuit.cable
    if device is None or cable is None:
        return None
    rated, capacity = device.rated_current_a, current_carrying_capacity(circuit, limits).capacity_a
    overcurrent = limits.overcurrent
    ring = circuit.ring and rated <= overcurrent.ring_device_a.value and capacity >= overcurrent.ring_cable_a.value
    if rated <= capacity or ring:
        return True
    energy = let_through_a2s(device, least_short_circuit_current_a(house, circuit, limits)[0], limits)
    return energy is not None and math.sqrt(energy) / live_conductor_k(cable, limits) <= cable.cross_section_mm2


def oc_06(circuit: Circuit, house: Installation, limits: Limits) -> bool | None:
    cable, device = circuit.cable, house.overcurrent_device(circuit)
    if cable is None:
        return None
    own = cable.protective_conductor_mm2
    if own is not None and own >= tabulated_protective_conductor_mm2(cable.cross_section_mm2, limits):
        return True
    if device is None:
        return None
    size, k = protective_conductor(circuit, cable, limits)
    current = house.supply.nominal_voltage_to_earth_v / earth_fault_loop_impedance(house, circuit, limits)[0]
    energy = let_through_a2s(device, current, limits)
    if energy is not None and math.sqrt(energy) / k <= size:
        return True
    guided = least_by_breaker_mm2(device, limits)
    most = limits.earthing.by_breaker_fault_current_ka.value * 1000
    if energy is not None and guided is not None and guided <= size and current <= most:
        return True
    fastest = fastest_residual_device(house, circuit, current, limits)
    if fastest is not None and fastest.break_time_s is not None:
        energy = current**2 * fastest.break_time_s
    return None if energy is None else math.sqrt(energy) / k <= size


def oc_08(circuit: Circuit, house: Installation, limits: Limits) -> bool | None:
    if not house.is_final(circuit):
        return None
    return voltage_drop_v(house, circuit, limits)[0] <= maximum_voltage_drop_v(house, circuit, limits)


def oc_09(circuit: Circuit, house: Installation, limits: Limits) -> bool | None:
    device = house.overcurrent_device(circuit)
    if device is None or circuit.cable is None or circuit.ring:
        return None
    rating = current_carrying_capacity(circuit, limits)
    if rating.before_insulation_a == rating.tabulated_a or device.rated_current_a > rating.tabulated_a:
        return None
    return device.rated_current_a <= rating.before_insulation_a


def oc_11(circuit: Circuit, house: Installation, limits: Limits) -> bool | None:
    cable = circuit.cable
    if cable is None or cable.type is not CableType.ARMOURED_THERMOSETTING_90:
        return None
    terminals = cable.terminals_temperature_c or limits.overcurrent.ordinary_terminals_c.value
    if conductor_temperature_c(cable, limits) <= terminals:
        return True
    device = house.overcurrent_device(circuit)
    if device is None:
        return False
    return device.rated_current_a <= current_carrying_capacity(circuit, limits, at_most_c=terminals).capacity_a


def afdd_01(circuit: Circuit, house: Installation, limits: Limits) -> bool | None:
    outlet = circuit.socket_outlet_rated_current_a
    if not circuit.socket_outlets or not house.is_final(circuit):
        return None
    if outlet is not None and outlet > limits.property.arc_fault_socket_outlet_a.value:
        return None
    if house.premises in (Premises.DWELLING, Premises.COMMERCIAL):
        return True
    detects = any(device.arc_fault_detection for device in house.devices_above(circuit))
    return None if outlet is None and not detects else detects


def ver_02(circuit: Circuit, _house: Installation, limits: Limits) -> bool | None:
    measured = circuit.measured_insulation_mohm
    return None if measured is None else measured >= limits.verification.insulation_mohm.value


CONDITIONS = {
    "RCD-01": rcd_01,
    "RCD-02": rcd_02,
    "RCD-04": rcd_04,
    "LOC-01": loc_01,
    "HP-03": hp_03,
    "ISL-01": isl_01,
    "OC-01": oc_01,
    "OC-02": oc_02,
    "OC-03": oc_03,
    "OC-04": oc_04,
    "OC-05": oc_05,
    "OC-06": oc_06,
    "OC-08": oc_08,
    "OC-09": oc_09,
    "OC-11": oc_11,
    "AFDD-01": afdd_01,
    "VER-02": ver_02,
}
