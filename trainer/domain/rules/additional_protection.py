"""Additional protection by a residual current device: which circuits must have it, and what gives it."""

from __future__ import annotations

from trainer.domain.cables import Cable, CableType, Circuit
from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.devices import Device
from trainer.domain.findings import Verdict, at_most, holds, undetermined, within
from trainer.domain.installation import Installation
from trainer.domain.limits import Limit, Limits
from trainer.domain.rules.paths import HOUSEHOLDS, circuit_path, delay_of, device_path, rating_of
from trainer.domain.rules.registry import Over, Rule, rule
from trainer.domain.vocabulary import Consequence, Location, Outcome, Premises, ResidualDelay

_OWN_SECTION = frozenset({Location.AGRICULTURAL_BUILDING, Location.CARAVAN_PITCH})
_ARMOURED = frozenset({CableType.ARMOURED_THERMOPLASTIC_70, CableType.ARMOURED_THERMOSETTING_90})


def sensitive_enough(circuit: Circuit, house: Installation, limit: Limit) -> Verdict:
    """Complies when some device before the circuit has a rating within the limit, else says why not."""
    lowest: Device | None = None
    least = 0.0
    unknown: Device | None = None
    for device in house.devices_above(circuit):
        if not device.detects_residual_current:
            continue
        rating = device.rated_residual_operating_current_ma
        if rating is None:
            unknown = device
        elif within(rating, limit.value):
            return at_most(rating, limit, case="protected")
        elif lowest is None or rating < least:
            lowest, least = device, rating
    if unknown is not None:
        return undetermined(f"{device_path(unknown)}.rated_residual_operating_current_ma")
    if lowest is None:
        return Verdict(
            outcome=Outcome.DOES_NOT_COMPLY, limit=limit.value, unit=limit.unit, case="no_residual_current_device"
        )
    return at_most(least, limit, case="rating_above_limit", related=(device_path(lowest),))


def _has_own_section(circuit: Circuit, house: Installation) -> bool:
    """True where a special location sets its own limit in place of the general one."""
    return circuit.location in _OWN_SECTION or house.premises is Premises.AGRICULTURAL


@rule("RCD-01", over=Over.CIRCUITS, consequence=Consequence.SHOCK, objectives=("LO01",))
def socket_outlets_with_additional_protection(circuit: Circuit, house: Installation, limits: Limits) -> Verdict | None:
    """Socket-outlets up to 32 A, and outdoor mobile equipment up to 32 A, have 30 mA additional protection.

    Why: whatever is plugged in may be damaged, wet or in somebody's hand; the overcurrent device
    does not see the few milliamps that stop a heart.
    Remedy: a residual current device of 30 mA or less, without delay, before the circuit.
    Assumes: without a stated rating of the outlets they are no larger than the overcurrent device.
    """
    if not (circuit.socket_outlets or circuit.outdoor_mobile_equipment) or _has_own_section(circuit, house):
        return None
    scope = limits.residual.socket_outlet_rated_current_a.value
    rated = circuit.socket_outlet_rated_current_a
    if rated is not None and not within(rated, scope):
        return None
    verdict = sensitive_enough(circuit, house, limits.residual.additional_protection_ma)
    if verdict.outcome is Outcome.COMPLIES:
        return verdict
    if rated is None and not _fused_within(circuit, house, scope):
        return undetermined(f"{circuit_path(circuit)}.socket_outlet_rated_current_a")
    return _by_risk_assessment(circuit, house) or verdict


def _fused_within(circuit: Circuit, house: Installation, scope: float) -> bool:
    device = house.overcurrent_device(circuit)
    return device is not None and within(device.rated_current_a, scope)


def _by_risk_assessment(circuit: Circuit, house: Installation) -> Verdict | None:
    """Outside dwellings a documented assessment may stand in where only instructed or skilled persons are."""
    if not (circuit.documented_risk_assessment and circuit.supervised_users_only):
        return None
    if house.premises is None:
        return undetermined("premises")
    return None if house.premises is Premises.DWELLING else holds(True, case="risk_assessment")


@rule("RCD-02", over=Over.CIRCUITS, consequence=Consequence.SHOCK, objectives=("LO01",))
def luminaires_with_additional_protection(circuit: Circuit, house: Installation, limits: Limits) -> Verdict | None:
    """Circuits that feed luminaires in a dwelling, one in multiple occupation too, have 30 mA additional protection.

    Why: lamps are changed and fittings taken down by people who do not isolate first.
    Remedy: a residual current device of 30 mA or less, without delay, before the circuit.
    """
    if not circuit.luminaires:
        return None
    if house.premises is None:
        return undetermined("premises")
    if house.premises not in HOUSEHOLDS:
        return None
    return sensitive_enough(circuit, house, limits.residual.additional_protection_ma)


@rule("RCD-03", over=Over.DEVICES, consequence=Consequence.SHOCK, objectives=("LO01", "LO06"))
def device_that_gives_additional_protection(device: Device, _house: Installation, limits: Limits) -> Verdict | None:
    """A device of 30 mA or less acts without delay and belongs to a residual current standard.

    Why: additional protection rests on the device opening before the current through a body does
    harm; a delay gives that time away, and a relay of no listed standard promises nothing.
    Remedy: a device without delay, to one of the listed product standards.
    Assumes: a device whose standard is not stated belongs to the standard of its kind.
    """
    if not device.detects_residual_current:
        return None
    limit = limits.residual.additional_protection_ma
    try:
        rating = rating_of(device)
        if not within(rating, limit.value):
            return None
        if delay_of(device) is ResidualDelay.S:
            return holds(False, value=rating, unit=limit.unit, case="time_delayed")
    except MissingFactError as gap:
        return undetermined(*gap.paths)
    if device.standard is not None and not limits.residual.is_listed(device.standard):
        return holds(False, value=device.standard, case="standard_not_listed")
    return at_most(rating, limit, case="gives_additional_protection")


@rule("RCD-04", over=Over.CIRCUITS, consequence=Consequence.SHOCK, objectives=("LO01",))
def concealed_cable_with_additional_protection(circuit: Circuit, house: Installation, limits: Limits) -> Verdict | None:
    """A cable hidden less than 50 mm deep, or among metal parts, is in a safe zone and has 30 mA protection.

    Why: a nail or a screw makes the metal in somebody's hand live before any fuse knows.
    Remedy: 30 mA protection and a safe zone, or an earthed metallic covering, or mechanical protection.
    Assumes: a cable without a stated depth is not concealed; armour is an earthed covering.
    """
    if circuit.supervised_users_only:
        return None
    run = circuit.cable
    if run is None:
        verdict = sensitive_enough(circuit, house, limits.residual.additional_protection_ma)
        return verdict if verdict.outcome is Outcome.COMPLIES else undetermined(f"{circuit_path(circuit)}.cable")
    if not _at_risk(run, limits):
        return None
    covered = _covered(run)
    if covered is not None:
        return covered
    if not run.in_safe_zone:
        return holds(False, value=run.concealed_depth_mm, unit="mm", case="outside_safe_zone")
    return sensitive_enough(circuit, house, limits.residual.additional_protection_ma)


def _covered(run: Cable) -> Verdict | None:
    """Complies where something round the cable stops a nail or carries its fault to earth."""
    if run.earthed_metal_covering or run.type in _ARMOURED:
        return holds(True, case="earthed_covering")
    return holds(True, case="mechanically_protected") if run.mechanically_protected else None


def _at_risk(run: Cable, limits: Limits) -> bool:
    """True when a cable lies shallower than the limit (at the limit it does not) or among metal parts."""
    if run.partition_with_metal_parts:
        return True
    depth = run.concealed_depth_mm
    return depth is not None and not within(limits.residual.concealed_depth_mm.value, depth)


RULES: tuple[Rule, ...] = (
    socket_outlets_with_additional_protection,
    luminaires_with_additional_protection,
    device_that_gives_additional_protection,
    concealed_cable_with_additional_protection,
)
