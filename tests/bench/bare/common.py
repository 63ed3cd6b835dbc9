"""What several conditions look up."""

from __future__ import annotations

import math

from trainer.domain.cables import Circuit
from trainer.domain.devices import Device
from trainer.domain.equipment import Equipment
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.rcd_need import is_plugged_in, type_needed
from trainer.domain.vocabulary import RcdType, Stated


def nearest_rcd(house: Installation, node: Circuit | Device) -> Device | None:
    for device in house.devices_above(node):
        if device.detects_residual_current:
            return device
    return None


def serves_only_final(house: Installation, device: Device) -> int:
    return sum(house.is_final(circuit) for circuit in house.circuits_below(device))


def feeds_others(house: Installation, device: Device, circuit: Circuit) -> bool:
    return any(other.id != circuit.id and house.is_final(other) for other in house.circuits_below(device))


def shares_with_loads(house: Installation, circuit: Circuit) -> bool:
    if circuit.socket_outlets or circuit.luminaires:
        return True
    return any(item.source is None for item in house.equipment_on(circuit))


def sends_smooth_dc(device: Device, house: Installation, limits: Limits) -> float:
    """The smooth d.c. that may pass a device towards the supply, in mA."""
    if device.rcd_type is RcdType.B:
        return limits.residual.type_b_smooth_dc_multiple.value * (device.rated_residual_operating_current_ma or 0)
    most = 0.0
    for circuit in house.circuits_below(device):
        if nearest_rcd(house, circuit) is device:
            for item in house.equipment_on(circuit):
                most = max(most, _passing_ma(item, limits))
    detection = device.direct_current_detection_ma
    return most if detection is None else min(most, detection)


def _passing_ma(item: Equipment, limits: Limits) -> float:
    charger = item.charger
    if charger is not None:
        if charger.direct_current_detection is not Stated.YES:
            return math.inf
        return charger.direct_current_detection_ma or limits.residual.detector_smooth_dc_ma.value
    if is_plugged_in(item):
        return 0
    return math.inf if type_needed(item, limits).rcd_type is RcdType.B else 0


def sensitive(circuit: Circuit, house: Installation, limit_ma: float) -> bool:
    for device in house.devices_above(circuit):
        rating = device.rated_residual_operating_current_ma
        if device.detects_residual_current and rating is not None and rating <= limit_ma:
            return True
    return False
