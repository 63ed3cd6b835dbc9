"""Residual current devices in series: what the lower one may let pass, and which of two opens first."""

from __future__ import annotations

import math
from collections.abc import Iterator

from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.devices import Device
from trainer.domain.equipment import Charger, ChargerEarthing, Equipment
from trainer.domain.findings import Term, Verdict, at_least, at_most, holds, total, undetermined, within
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.paths import (
    count_of_final_circuits,
    delay_of,
    device_path,
    equipment_path,
    nearest_residual_device,
    own_circuits,
    rating_of,
    type_of,
)
from trainer.domain.rules.rcd_need import is_open, is_plugged_in, open_fact, type_for_sockets, type_needed
from trainer.domain.rules.registry import Over, Rule, rule
from trainer.domain.vocabulary import Consequence, Outcome, RcdType, ResidualDelay, Stated

_UNLIMITED = math.inf


def detects_direct_current(charger: Charger) -> bool:
    """True when the sheet names detection of d.c. at 6 mA or less; a silent sheet names none."""
    return charger.direct_current_detection is Stated.YES


def _behind_silent_charger(item: Equipment, charger: Charger) -> float:
    """What a charging point without detection may let pass: anything, unless it stands behind separation."""
    if _is_separated(charger):
        return 0
    if charger.direct_current_detection is None:
        raise MissingFactError(f"{equipment_path(item)}.charger.direct_current_detection")
    return _UNLIMITED


def _is_separated(charger: Charger) -> bool:
    """True for a charging point behind separation, from which no fault sends residual current."""
    return charger.earthing is ChargerEarthing.ELECTRICAL_SEPARATION


def let_through_by(item: Equipment, limits: Limits) -> float:
    """The smooth d.c. that equipment may send on without anything in it acting, in mA.

    Infinite where nothing limits it. *Raises* MissingFactError.
    """
    own, charger = item.built_in_rcd, item.charger
    if charger is not None and detects_direct_current(charger) and not _is_separated(charger):
        threshold = charger.direct_current_detection_ma
        return limits.residual.detector_smooth_dc_ma.value if threshold is None else threshold
    if own is not None and own.rcd_type is RcdType.B:
        return limits.residual.type_b_smooth_dc_multiple.value * own.rated_residual_operating_current_ma
    if charger is not None:
        return _behind_silent_charger(item, charger)
    if is_plugged_in(item):
        return 0
    need = type_needed(item, limits)
    if is_open(item, need):
        raise MissingFactError(open_fact(item))
    return _UNLIMITED if need.rcd_type is RcdType.B else 0


def _let_through(device: Device, house: Installation, limits: Limits) -> float:
    """The smooth d.c. that may flow upstream of a device without it acting, in mA."""
    if device.rcd_type is RcdType.B:
        return limits.residual.type_b_smooth_dc_multiple.value * rating_of(device)
    most = 0.0
    for circuit in own_circuits(house, device):
        for item in house.equipment_on(circuit):
            most = max(most, let_through_by(item, limits))
    detection = device.direct_current_detection_ma
    return most if detection is None else min(most, detection)


def _sends_direct_current(device: Device, house: Installation, limits: Limits) -> bool:
    """True when the loads of a device may send any d.c., pulsating or smooth."""
    for circuit in own_circuits(house, device):
        items = house.equipment_on(circuit)
        if circuit.socket_outlets or (not items and house.is_final(circuit)):
            return True
        for item in items:
            if is_plugged_in(item) or item.charger is not None:
                return True
            need = type_needed(item, limits)
            if need.rcd_type is None:
                raise MissingFactError(open_fact(item))
            if need.rcd_type.covers(type_for_sockets(limits)):
                return True
    return False


@rule("RCD-07", over=Over.DEVICES, consequence=Consequence.SHOCK, objectives=("LO03",))
def smooth_dc_through_the_device_upstream(device: Device, house: Installation, limits: Limits) -> Verdict | None:
    """What a device or detector may let pass without acting, the devices upstream of it tolerate.

    Why: smooth d.c. biases the core upstream; while it flows nobody may rely on that device, and
    no other circuit below it can rely on it either, without any sign of it.
    Remedy: type B upstream, or the two devices side by side instead of in series.
    Assumes: a type B may let twice its rating of smooth d.c. pass, a 6 mA detector its threshold;
    where nothing limits the d.c. that a load can send, no type below B tolerates it. A delay changes
    nothing. Type A above type F is advised against, not refused.
    """
    if not device.detects_residual_current:
        return None
    try:
        inside = _over_built_in_devices(device, house, limits)
        if inside is not None and inside.outcome is not Outcome.COMPLIES:
            return inside
        return _under_devices_upstream(device, house, limits) or inside
    except MissingFactError as gap:
        return undetermined(*gap.paths)


def _over_built_in_devices(device: Device, house: Installation, limits: Limits) -> Verdict | None:
    """The device as the one upstream of residual current devices inside equipment on its own circuits."""
    verdict: Verdict | None = None
    for circuit in own_circuits(house, device):
        for item in house.equipment_on(circuit):
            if item.built_in_rcd is None:
                continue
            verdict = _tolerated(let_through_by(item, limits), device, equipment_path(item), limits)
            if verdict.outcome is not Outcome.COMPLIES:
                return verdict
    return verdict


def _under_devices_upstream(device: Device, house: Installation, limits: Limits) -> Verdict | None:
    """The device as the one below others. A type B upstream ends the way: it acts on what reaches it."""
    verdict: Verdict | None = None
    passing: float | None = None
    for upstream in house.devices_above(device):
        if not upstream.detects_residual_current:
            continue
        if upstream.rcd_type is RcdType.B:
            return verdict or holds(True, value=RcdType.B, case="detects_smooth_dc")
        if passing is None:
            passing = _let_through(device, house, limits)
        verdict = _tolerated(passing, upstream, device_path(upstream), limits)
        if verdict.outcome is not Outcome.COMPLIES:
            return verdict
        verdict = _beyond_smooth_dc(device, upstream, house, limits) or verdict
        if verdict.outcome is not Outcome.COMPLIES:
            return verdict
    return verdict


def _tolerated(passing: float, upstream: Device, other: str, limits: Limits) -> Verdict:
    """The smooth d.c. that may pass against what the upper device tolerates."""
    fitted = type_of(upstream)
    if fitted is RcdType.B:
        return holds(True, value=RcdType.B, case="detects_smooth_dc")
    tolerance = limits.residual.smooth_dc_tolerance_ma[fitted]
    if passing == _UNLIMITED:
        return holds(False, limit=tolerance.value, unit="mA", case="nothing_limits", related=(other,))
    if within(passing, tolerance.value):
        return at_most(passing, tolerance, case="tolerated")
    return at_most(passing, tolerance, case="smooth_dc_passes", related=(other,))


def _beyond_smooth_dc(device: Device, upstream: Device, house: Installation, limits: Limits) -> Verdict | None:
    """What goes beyond smooth d.c.: type AC above any d.c. fails, type A above type F is advised against."""
    fitted = upstream.rcd_type
    if fitted is RcdType.AC and _sends_direct_current(device, house, limits):
        return holds(False, value=fitted, limit=RcdType.A, case="type_ac_above_dc", related=(device_path(upstream),))
    if fitted is RcdType.A and device.rcd_type is RcdType.F:
        return holds(
            False,
            value=fitted,
            limit=RcdType.F,
            case="type_a_above_f",
            related=(device_path(upstream),),
            otherwise=Outcome.ADVICE,
        )
    return None


def _standing(device: Device, house: Installation) -> Iterator[Equipment]:
    """The equipment below a device that lets smooth d.c. flow in normal service, or may."""
    for item in house.equipment_below(device):
        if item.standing_dc_ma != 0:
            yield item


@rule("RCD-07B", over=Over.DEVICES, consequence=Consequence.DESIGN, objectives=("LO03", "LO04"))
def standing_dc_at_a_shared_device(device: Device, house: Installation, limits: Limits) -> Verdict | None:
    """The smooth d.c. that all equipment below a device lets flow in normal service stays within its tolerance.

    Why: direct currents of equal polarity add at the shared device, and no single unit need be at fault.
    Remedy: type B at the shared point, or devices side by side, each with its own share.
    Assumes: equal polarity, so the currents add; type AC tolerates none and is judged by its type.
    Formula: sum of standing d.c. <= 6 mA for type A, 10 mA for type F
    """
    if not device.detects_residual_current:
        return None
    if next(_standing(device, house), None) is None:
        return None
    fitted = device.rcd_type
    if fitted is None:
        return undetermined(f"{device_path(device)}.rcd_type")
    if fitted is RcdType.AC:
        return None
    if fitted is RcdType.B:
        return holds(True, value=RcdType.B, case="detects_smooth_dc")
    return _standing_sum(device, house, limits.residual.smooth_dc_tolerance_ma[fitted].value)


def _standing_sum(device: Device, house: Installation, tolerance: float) -> Verdict:
    known = total(item.standing_dc_ma or 0 for item in _standing(device, house))
    unknown = next((item for item in _standing(device, house) if item.standing_dc_ma is None), None)
    if unknown is not None and within(known, tolerance):
        return undetermined(f"{equipment_path(unknown)}.standing_dc_ma")
    return at_most(
        known,
        tolerance,
        unit="mA",
        case="sum_of_standing_dc",
        terms=lambda: [Term(item.id, item.standing_dc_ma or 0, "mA") for item in _standing(device, house)],
    )


def _detectors(device: Device, house: Installation) -> dict[str, int]:
    """How many detectors limit the d.c. of charging points below a device: by unit, or by device in the board."""
    found: dict[str, int] = {}
    for item in house.equipment_below(device):
        charger = item.charger
        if charger is None or _is_separated(charger):
            continue
        in_the_board = _detector_in_the_board(item, device, house)
        if in_the_board is not None:
            found[in_the_board.id] = 1
        elif detects_direct_current(charger):
            found[item.id] = charger.points
    return found


def _detector_in_the_board(item: Equipment, device: Device, house: Installation) -> Device | None:
    """The device below another one whose detector sees the d.c. of a whole unit, however many points it has."""
    nearest = nearest_residual_device(house, house.circuits[item.circuit])
    if nearest is None or nearest is device or nearest.direct_current_detection_ma is None:
        return None
    return nearest


@rule("EV-12", over=Over.DEVICES, consequence=Consequence.DESIGN, objectives=("LO03", "LO12"))
def detectors_below_a_shared_device(device: Device, house: Installation, limits: Limits) -> Verdict | None:
    """The d.c. that all detectors of charging points below a device may let pass together stays within its tolerance.

    Why: each detector acts at 6 mA of its own; two just below that put nearly 12 mA through the
    shared device above, and neither has a reason to act.
    Remedy: type B at the shared point, or no shared residual current device.
    Assumes: equal polarity and every detector just short of acting; in a unit one for each point, in
    the board one for all points behind it; a point behind separation sends none. Drawn from the
    tolerance of the type; no clause gives a sum, so this is a matter of design and never a reason
    not to energise.
    Formula: number of detectors * 6 mA <= 6 mA for type A, 10 mA for type F
    """
    if not device.detects_residual_current or device.direct_current_detection_ma is not None:
        # One with a detector of its own sees the sum and acts on it.
        return None
    detectors = _detectors(device, house)
    count = sum(detectors.values())
    if count <= 1:
        return None
    fitted = device.rcd_type
    if fitted is None:
        return undetermined(f"{device_path(device)}.rcd_type")
    if fitted is RcdType.AC:
        return None
    if fitted is RcdType.B:
        return holds(True, value=RcdType.B, case="detects_smooth_dc")
    each = limits.residual.detector_smooth_dc_ma.value
    return at_most(
        total((count * each,)),
        limits.residual.smooth_dc_tolerance_ma[fitted],
        case="sum_of_detectors",
        terms=lambda: [Term(name, each * own, "mA") for name, own in detectors.items()],
    )


@rule("RCD-11", over=Over.DEVICES, consequence=Consequence.NUISANCE, objectives=("LO06",))
def selectivity_of_devices_in_series(device: Device, house: Installation, limits: Limits) -> Verdict | None:
    """Of two residual current devices in series the upper one is time-delayed and rated three times the lower.

    Why: without delay and ratio both see the same fault, the upper one may open first and takes
    healthy circuits with it.
    Remedy: an S type of at least three times the rating upstream, or one device only on the path.
    Assumes: where the upper device feeds nothing else, it does not matter which of the two opens.
    Formula: upper rating >= 3 * lower rating
    """
    if not device.detects_residual_current:
        return None
    fed = count_of_final_circuits(house, device)
    verdict: Verdict | None = None
    for upstream in house.devices_above(device):
        if not upstream.detects_residual_current or count_of_final_circuits(house, upstream) == fed:
            continue
        try:
            verdict = _selective(device, upstream, limits)
        except MissingFactError as gap:
            return undetermined(*gap.paths)
        if verdict.outcome is not Outcome.COMPLIES:
            return verdict
    return verdict


def _selective(device: Device, upstream: Device, limits: Limits) -> Verdict:
    delay = delay_of(upstream)
    if delay is not ResidualDelay.S:
        related = (device_path(upstream),)
        return holds(False, value=delay, limit=ResidualDelay.S, case="not_delayed", related=related)
    upper = rating_of(upstream)
    needed = limits.residual.selectivity_ratio.value * rating_of(device)
    if within(needed, upper):
        return at_least(upper, needed, unit="mA", case="selective")
    return at_least(upper, needed, unit="mA", case="ratio_too_small", related=(device_path(upstream),))


RULES: tuple[Rule, ...] = (
    smooth_dc_through_the_device_upstream,
    standing_dc_at_a_shared_device,
    detectors_below_a_shared_device,
    selectivity_of_devices_in_series,
)
