"""What is asked of each device."""

from __future__ import annotations

import math

from tests.bench.bare.common import nearest_rcd, sends_smooth_dc, serves_only_final
from trainer.domain.calculations.fault_current import prospective_fault_current_ka
from trainer.domain.devices import Device
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.rcd_need import is_judged_by_own_rule, is_plugged_in, is_pv, type_for_sockets, type_needed
from trainer.domain.vocabulary import DeviceKind, Direction, RcdType, ResidualDelay


def rcd_03(device: Device, _house: Installation, limits: Limits) -> bool | None:
    rating = device.rated_residual_operating_current_ma
    if not device.detects_residual_current or rating is None:
        return None
    if rating > limits.residual.additional_protection_ma.value:
        return None
    if device.residual_delay is ResidualDelay.S:
        return False
    return device.standard is None or limits.residual.is_listed(device.standard)


def rcd_05(device: Device, house: Installation, limits: Limits) -> bool | None:
    if not device.detects_residual_current:
        return None
    items = tuple(house.equipment_below(device))
    if not items:
        return None
    leakage = math.fsum(item.protective_conductor_current_ma or 0 for item in items)
    return leakage <= limits.residual.leakage_share.value * (device.rated_residual_operating_current_ma or 0)


def rcd_06(device: Device, house: Installation, limits: Limits) -> bool | None:
    if not device.detects_residual_current or device.rcd_type is None:
        return None
    needed = -1
    noted = -1
    sockets = type_for_sockets(limits).rank
    for circuit in house.circuits_below(device):
        if nearest_rcd(house, circuit) is not device:
            continue
        items = house.equipment_on(circuit)
        if circuit.socket_outlets or (not items and house.is_final(circuit)):
            needed = max(needed, sockets)
        for item in items:
            need = type_needed(item, limits)
            rank = -1 if need.rcd_type is None else need.rcd_type.rank
            if is_plugged_in(item):
                needed, noted = max(needed, sockets), max(noted, rank)
            elif not is_judged_by_own_rule(item) or need.case == ("separation" if is_pv(item) else "maker_requires"):
                needed = max(needed, rank)
    if needed < 0:
        return None
    return device.rcd_type.rank >= max(needed, noted)


def rcd_07(device: Device, house: Installation, limits: Limits) -> bool | None:
    if not device.detects_residual_current:
        return None
    answer = None
    for upstream in house.devices_above(device):
        if not upstream.detects_residual_current:
            continue
        if upstream.rcd_type is RcdType.B or upstream.rcd_type is None:
            return True
        if sends_smooth_dc(device, house, limits) > limits.residual.smooth_dc_tolerance_ma[upstream.rcd_type].value:
            return False
        if upstream.rcd_type is RcdType.AC:
            return False
        if upstream.rcd_type is RcdType.A and device.rcd_type is RcdType.F:
            return False
        answer = True
    return answer


def rcd_08(device: Device, house: Installation, _limits: Limits) -> bool | None:
    if not device.detects_residual_current:
        return None
    fed = [circuit for circuit in house.circuits_below(device) if house.is_final(circuit)]
    if len(fed) <= 1:
        return None
    every = sum(house.is_final(circuit) for circuit in house.circuits.values())
    critical = sum(circuit.critical for circuit in fed)
    if len(fed) < every and critical in (0, len(fed)):
        return True
    return device.residual_delay is ResidualDelay.S


def rcd_11(device: Device, house: Installation, limits: Limits) -> bool | None:
    if not device.detects_residual_current:
        return None
    fed = serves_only_final(house, device)
    answer = None
    for upstream in house.devices_above(device):
        if not upstream.detects_residual_current or serves_only_final(house, upstream) == fed:
            continue
        if upstream.residual_delay is not ResidualDelay.S:
            return False
        own, upper = device.rated_residual_operating_current_ma or 0, upstream.rated_residual_operating_current_ma or 0
        if limits.residual.selectivity_ratio.value * own > upper:
            return False
        answer = True
    return answer


def rcd_12(device: Device, house: Installation, _limits: Limits) -> bool | None:
    if not device.detects_residual_current:
        return None
    below = house.circuits_below(device)
    items = [(circuit, item) for circuit in below for item in house.equipment_on(circuit)]
    needed = max((circuit.live_conductors for circuit in below), default=0)
    if any(item.source is not None for _, item in items) or house.has_island or house.sources():
        return device.poles >= needed
    if any(item.charger is not None and nearest_rcd(house, circuit) is not device for circuit, item in items):
        return device.poles >= needed
    return None


def gen_04(device: Device, house: Installation, _limits: Limits) -> bool | None:
    if device.direction is None or not house.sources_below(device):
        return None
    return device.direction is Direction.BIDIRECTIONAL


def gen_08(device: Device, house: Installation, limits: Limits) -> bool | None:
    if not device.detects_residual_current or not house.has_island:
        return None
    weakest = min(
        item.source.island_fault_current_a or 0
        for item in house.equipment.values()
        if item.source is not None and item.source.island
    )
    needed_a = (device.rated_residual_operating_current_ma or 0) / 1000
    return weakest >= limits.sources.multiple_for_time.value * needed_a


def oc_07(device: Device, house: Installation, limits: Limits) -> bool | None:
    if not device.breaks_overcurrent:
        return None
    board, supply = house.boards[device.board], house.supply
    rating, stated = board.conditional_rating_ka, supply.prospective_fault_current_ka or 0
    needed = limits.overcurrent.conditional_rating_ka.value
    fuse = supply.fuse_rated_current_a or math.inf
    if rating is not None and rating >= needed and fuse <= limits.overcurrent.conditional_supply_fuse_a.value:
        covered = stated <= needed
    else:
        covered = False
    return covered or prospective_fault_current_ka(house, board, limits) <= (device.breaking_capacity_ka or 0)


def rat_01(device: Device, house: Installation, _limits: Limits) -> bool | None:
    if device.kind is not DeviceKind.RCCB and device.kind is not DeviceKind.SWITCH:
        return None
    before = house.supply.fuse_rated_current_a or math.inf
    for above in house.devices_above(device):
        if above.breaks_overcurrent:
            before = above.rated_current_a
            break
    if before <= max(device.rated_current_a, device.declared_load_current_a or 0):
        return True
    first = {}
    for circuit in house.circuits_below(device):
        last = None
        for above in house.devices_above(circuit):
            if above.id == device.id:
                break
            if above.breaks_overcurrent:
                last = above
        if last is None:
            return False
        first[last.id] = last.rated_current_a
    return math.fsum(first.values()) <= device.rated_current_a


def sup_02(device: Device, house: Installation, limits: Limits) -> bool | None:
    if not device.breaks_overcurrent:
        return None
    for above in house.devices_above(device):
        if above.breaks_overcurrent:
            return above.rated_current_a / device.rated_current_a >= limits.overcurrent.selectivity_ratio.value
    fuse = house.supply.fuse_rated_current_a or 0
    return fuse / device.rated_current_a >= limits.overcurrent.selectivity_ratio.value


def ver_01(device: Device, _house: Installation, limits: Limits) -> bool | None:
    measured, delay = device.measured_break_time_ms, device.residual_delay
    if measured is None or delay is None or not device.detects_residual_current:
        return None
    times = limits.verification.break_time_ms
    if delay is ResidualDelay.S and measured < times["S_minimum"].value:
        return False
    return measured <= times[delay].value


CONDITIONS = {
    "RCD-03": rcd_03,
    "RCD-05": rcd_05,
    "RCD-06": rcd_06,
    "RCD-07": rcd_07,
    "RCD-08": rcd_08,
    "RCD-11": rcd_11,
    "RCD-12": rcd_12,
    "GEN-04": gen_04,
    "GEN-08": gen_08,
    "OC-07": oc_07,
    "RAT-01": rat_01,
    "SUP-02": sup_02,
    "VER-01": ver_01,
}
