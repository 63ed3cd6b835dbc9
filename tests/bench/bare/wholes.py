"""What is asked of each board and of the installation as a whole."""

from __future__ import annotations

import math

from trainer.domain.calculations.adiabatic import tabulated_protective_conductor_mm2, withstanding_mm2
from trainer.domain.calculations.demand import maximum_demand_a
from trainer.domain.calculations.lookup import lookup
from trainer.domain.calculations.paths import incoming_rating_a
from trainer.domain.calculations.service import largest_tails_mm2, service_fuse_energy_a2s
from trainer.domain.devices import Board
from trainer.domain.equipment import ChargerEarthing, EquipmentKind, SensesOpenPen
from trainer.domain.installation import SUPPLY, Installation
from trainer.domain.limits import Limits
from trainer.domain.notices import GenerationRoute, LoadRoute, Notice, Procedure
from trainer.domain.supply import SurgeDeviceType
from trainer.domain.vocabulary import EarthingSystem, Premises, Stated

_ADDITIONS = frozenset({EquipmentKind.CHARGER, EquipmentKind.HEAT_PUMP})
_HOUSEHOLDS = frozenset({Premises.DWELLING, Premises.HMO, Premises.HIGHER_RISK_RESIDENTIAL})


def rat_02(board: Board, house: Installation, _limits: Limits) -> bool | None:
    generated = [
        item.source.rated_current_a
        for item in house.sources()
        if item.source is not None
        and any(device.board == board.id for device in house.devices_above(house.circuits[item.circuit]))
    ]
    if not generated:
        return None
    incoming = incoming_rating_a(house, board) or math.inf
    return math.fsum((incoming, *generated)) <= (board.rated_current_a or 0)


def rat_03(board: Board, house: Installation, _limits: Limits) -> bool | None:
    modules = [device.modules or 0 for device in house.devices.values() if device.board == board.id]
    return math.fsum(modules) <= (board.ways or 0) if modules else None


def sup_01(board: Board, house: Installation, limits: Limits) -> bool | None:
    if board.fed_by != SUPPLY:
        return house.overcurrent_device(house.circuits[board.fed_by]) is not None
    if (board.tails_length_m or 0) > limits.overcurrent.tails_length_m.value:
        return False
    needed = lookup(limits.overcurrent.tails_for_fuse).at_or_above(house.supply.fuse_rated_current_a or 0)
    return (board.tails_mm2 or 0) >= (needed or math.inf)


def cu_01(board: Board, house: Installation, _limits: Limits) -> bool | None:
    if house.premises not in _HOUSEHOLDS:
        return None
    return bool(board.noncombustible) and (board.standard or "").startswith("BS EN 61439-3")


def iso_01(board: Board, house: Installation, _limits: Limits) -> bool | None:
    if board.fed_by != SUPPLY:
        return None
    incomers = [device for device in house.devices.values() if device.fed_by == board.id]
    if not incomers:
        return None
    return len(incomers) == 1 and incomers[0].isolates and incomers[0].poles >= house.supply.phases + 1


BOARD_CONDITIONS = {"RAT-02": rat_02, "RAT-03": rat_03, "SUP-01": sup_01, "CU-01": cu_01, "ISO-01": iso_01}


def rcd_10(_subject: Installation, house: Installation, limits: Limits) -> bool | None:
    found = [house.earthing.island_electrode_resistance_ohm]
    chargers = [item.charger for item in house.equipment.values() if item.charger is not None]
    own = ChargerEarthing.OWN_TT_ELECTRODE
    found += [charger.electrode_resistance_ohm for charger in chargers if charger.earthing is own]
    known = [each for each in found if each is not None]
    return max(known) <= limits.residual.stable_electrode_ohm.value if known else None


def ev_11(_subject: Installation, house: Installation, limits: Limits) -> bool | None:
    if not any(item.kind is EquipmentKind.CHARGER for item in house.equipment.values()):
        return None
    if not house.supply.declared_adequate:
        return False
    declared = limits.network.declared_impedance_ohm[house.supply.earthing_system or ""]
    return (house.supply.external_earth_fault_loop_impedance_ohm or 0) <= declared.value


def gen_05(_subject: Installation, house: Installation, _limits: Limits) -> bool | None:
    return house.earthing.island_electrode_resistance_ohm is not None if house.has_island else None


_POSITIONS = (
    Notice.ALTERNATIVE_SUPPLY_AT_ORIGIN,
    Notice.ALTERNATIVE_SUPPLY_AT_METER,
    Notice.ALTERNATIVE_SUPPLY_AT_CONSUMER_UNIT,
    Notice.ALTERNATIVE_SUPPLY_AT_ISOLATION_POINTS,
)


def gen_09(_subject: Installation, house: Installation, _limits: Limits) -> bool | None:
    return all(each in house.notices for each in _POSITIONS) if house.sources() else None


def gen_10(_subject: Installation, house: Installation, _limits: Limits) -> bool | None:
    return True if house.sources() else None


def _bonding_pme_mm2(house: Installation, limits: Limits) -> float:
    return lookup(limits.earthing.bonding_pme).at_or_above(house.supply.neutral_mm2 or 0) or math.inf


def bon_01(_subject: Installation, house: Installation, limits: Limits) -> bool | None:
    earthing = house.earthing
    if not earthing.extraneous_parts:
        return True
    if house.supply.earthing_system is EarthingSystem.TN_C_S:
        return (earthing.main_bonding_mm2 or 0) >= _bonding_pme_mm2(house, limits)
    bounds = limits.earthing.bonding_mm2
    half = (earthing.earthing_conductor_mm2 or 0) * limits.earthing.bonding_share.value
    needed = max(bounds["minimum"].value, min(half, bounds["need_not_exceed"].value))
    return (earthing.main_bonding_mm2 or 0) >= needed


def bon_02(_subject: Installation, house: Installation, limits: Limits) -> bool | None:
    size = house.earthing.earthing_conductor_mm2 or 0
    if house.supply.earthing_system is EarthingSystem.TN_C_S and size < _bonding_pme_mm2(house, limits):
        return False
    tails = largest_tails_mm2(house)
    if tails is not None and size >= tabulated_protective_conductor_mm2(tails, limits):
        return True
    energy = service_fuse_energy_a2s(house, limits)[0]
    return size >= withstanding_mm2(energy, limits.earthing.k_factor["separate_70"].value)


def sup_03(_subject: Installation, house: Installation, _limits: Limits) -> bool | None:
    apparent = house.supply.apparent_earthing_system
    return True if apparent is None or apparent is house.supply.earthing_system else None


def oc_12(_subject: Installation, house: Installation, limits: Limits) -> bool | None:
    fuse = house.supply.fuse_rated_current_a or 0
    if house.stated_maximum_demand_a is not None:
        return house.stated_maximum_demand_a <= fuse
    if maximum_demand_a(house, house.circuits.values(), limits)[0] <= fuse:
        return True
    return False if house.premises is Premises.DWELLING else None


def dno_01(_subject: Installation, house: Installation, limits: Limits) -> bool | None:
    if not any(item.kind in _ADDITIONS for item in house.equipment.values()):
        return None
    if house.network.load_route == LoadRoute.APPLY:
        return True
    if house.supply.looped or not house.supply.declared_adequate:
        return False
    demand = house.stated_maximum_demand_a
    if demand is None:
        demand = maximum_demand_a(house, house.circuits.values(), limits)[0]
    return demand <= min(house.supply.fuse_rated_current_a or 0, limits.network.notification_demand_a.value)


def dno_02(_subject: Installation, house: Installation, limits: Limits) -> bool | None:
    counted = [s.source for s in house.sources() if s.source is not None and s.source.counts_in_registered_capacity]
    if not counted:
        return None
    if house.network.generation_route == GenerationRoute.G99:
        return True
    current = math.fsum(source.rated_current_a for source in counted)
    return current <= limits.network.registered_current_a.value and all(source.type_tested for source in counted)


def dno_03(_subject: Installation, house: Installation, _limits: Limits) -> bool | None:
    agreed, sources = house.supply.agreed_export_limit_w, house.sources()
    if agreed is None or not sources:
        return None
    voltage = house.supply.nominal_voltage_to_earth_v
    possible = math.fsum(item.source.rated_current_a * voltage for item in sources if item.source is not None)
    return possible <= agreed or bool(house.network.export_limited)


def spd_01(_subject: Installation, house: Installation, _limits: Limits) -> bool | None:
    surge = house.surge
    if surge.device is not SurgeDeviceType.NONE:
        return True
    return not surge.serious_consequence and bool(surge.owner_declines)


def spd_02(_subject: Installation, house: Installation, limits: Limits) -> bool | None:
    surge = house.surge
    if surge.device is SurgeDeviceType.NONE:
        return None
    if surge.external_lightning_protection and surge.device is SurgeDeviceType.TYPE_2:
        return False
    return (surge.lead_length_m or 0) <= limits.property.surge_lead_preferred_m.value


def iso_02(_subject: Installation, house: Installation, _limits: Limits) -> bool | None:
    return Notice.ISOLATION_OF_ALL_SOURCES in house.notices if house.sources() else None


def lab_01(_subject: Installation, house: Installation, _limits: Limits) -> bool | None:
    if Notice.PERIODIC_INSPECTION not in house.notices:
        return False
    detects = any(device.detects_residual_current for device in house.devices.values())
    return not detects or Notice.RCD_TEST in house.notices


def lab_02(_subject: Installation, house: Installation, _limits: Limits) -> bool | None:
    return Notice.CIRCUIT_CHART in house.notices


def ver_03(_subject: Installation, house: Installation, _limits: Limits) -> bool | None:
    return True if house.supply.prospective_fault_current_ka is not None else None


def ver_04(_subject: Installation, house: Installation, _limits: Limits) -> bool | None:
    if not any(device.measured_break_time_ms is not None for device in house.devices.values()):
        return None
    needed = [Procedure.LOADS_DISCONNECTED, Procedure.LEAKAGE_BY_CLAMP]
    chargers = [item.charger for item in house.equipment.values() if item.charger is not None]
    if any(charger.direct_current_detection is Stated.YES for charger in chargers):
        needed.append(Procedure.DIRECT_CURRENT_DETECTION_TESTED)
    if any(charger.open_pen not in (None, SensesOpenPen.NONE, SensesOpenPen.SILENT) for charger in chargers):
        needed.append(Procedure.OPEN_PEN_DETECTION_TESTED)
    if house.sources():
        needed.append(Procedure.LOSS_OF_MAINS_TESTED)
    return all(each in house.notices for each in needed)


def cas_01(_subject: Installation, house: Installation, _limits: Limits) -> bool | None:
    if not house.sources() and not any(item.kind in _ADDITIONS for item in house.equipment.values()):
        return None
    return Procedure.EXISTING_INSTALLATION_ASSESSED in house.notices


CONDITIONS = {
    "RCD-10": rcd_10,
    "EV-11": ev_11,
    "GEN-05": gen_05,
    "GEN-09": gen_09,
    "GEN-10": gen_10,
    "BON-01": bon_01,
    "BON-02": bon_02,
    "SUP-03": sup_03,
    "OC-12": oc_12,
    "DNO-01": dno_01,
    "DNO-02": dno_02,
    "DNO-03": dno_03,
    "SPD-01": spd_01,
    "SPD-02": spd_02,
    "ISO-02": iso_02,
    "LAB-01": lab_01,
    "LAB-02": lab_02,
    "VER-03": ver_03,
    "VER-04": ver_04,
    "CAS-01": cas_01,
}
