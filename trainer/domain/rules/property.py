"""Protection of property: surge, arc faults, enclosures."""

from __future__ import annotations

from trainer.domain.cables import Circuit
from trainer.domain.devices import Board
from trainer.domain.findings import Verdict, at_most, holds, undetermined, within
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.paths import HOUSEHOLDS
from trainer.domain.rules.registry import Over, Rule, rule
from trainer.domain.supply import SurgeDeviceType
from trainer.domain.vocabulary import Consequence, Outcome, Premises

_TYPE_1 = frozenset({SurgeDeviceType.TYPE_1, SurgeDeviceType.TYPE_1_AND_2})
_ARC_FAULT_PREMISES = frozenset(
    {
        Premises.HMO,
        Premises.STUDENT_ACCOMMODATION,
        Premises.CARE_HOME,
        Premises.HIGHER_RISK_RESIDENTIAL,
    }
)
ASSEMBLY_STANDARD = "BS EN 61439-3"


@rule("SPD-01", over=Over.INSTALLATION, consequence=Consequence.EQUIPMENT, objectives=("LO37",))
def surge_protection_provided(
    _subject: Installation,
    house: Installation,
    _limits: Limits,
) -> Verdict | None:
    """Surge protection is fitted unless the consequence is small and the owner declines it.

    Why: surges from the network destroy inverters, chargers and controls without a trace.
    Remedy: a surge protective device at the origin, or the owner's declaration where nobody's
    life, safety service or great loss hangs on it.
    """
    surge = house.surge
    if surge.device is None:
        return undetermined("surge.device")
    if surge.device is not SurgeDeviceType.NONE:
        return holds(True, value=surge.device.value, case="fitted")
    if surge.serious_consequence:
        return holds(False, case="serious_consequence")
    if surge.serious_consequence is None and surge.owner_declines is not False:
        return undetermined("surge.serious_consequence")
    if surge.owner_declines is None:
        return undetermined("surge.owner_declines")
    return holds(surge.owner_declines, case="owner_decides")


@rule("SPD-02", over=Over.INSTALLATION, consequence=Consequence.EQUIPMENT, objectives=("LO37",))
def surge_device_of_the_right_type_on_short_leads(
    _subject: Installation, house: Installation, limits: Limits
) -> Verdict | None:
    """The surge protective device suits the exposure and is connected by short leads.

    Why: the voltage along the leads adds to what reaches the equipment.
    Remedy: type 1 where there is external lightning protection, else type 2; leads of half a metre
    in all, never more than one.
    Formula: lead length <= 1 m, preferably <= 0.5 m
    """
    surge = house.surge
    if surge.device is None or surge.device is SurgeDeviceType.NONE:
        return None
    suits_any_exposure = surge.device in _TYPE_1
    if surge.external_lightning_protection and not suits_any_exposure:
        return holds(False, value=surge.device.value, limit=SurgeDeviceType.TYPE_1.value, case="type")
    length, longest = surge.lead_length_m, limits.property.surge_lead_length_m
    if length is not None and not within(length, longest.value):
        return at_most(length, longest, case="leads")
    if surge.external_lightning_protection is None and not suits_any_exposure:
        return undetermined("surge.external_lightning_protection")
    if length is None:
        return undetermined("surge.lead_length_m")
    return at_most(length, limits.property.surge_lead_preferred_m, case="leads", otherwise=Outcome.ADVICE)


@rule("AFDD-01", over=Over.CIRCUITS, consequence=Consequence.FIRE, objectives=("LO38",))
def arc_fault_detection_where_required(circuit: Circuit, house: Installation, limits: Limits) -> Verdict | None:
    """Single-phase socket circuits up to 32 A of residential buildings at higher risk have arc fault detection.

    Why: where people sleep who cannot leave quickly, a smouldering flex is the fire to prevent.
    Remedy: an arc fault detection device for the circuit.
    Assumes: elsewhere it is recommended, not required.
    """
    if not circuit.socket_outlets or circuit.phases > 1 or not house.is_final(circuit):
        return None
    outlet = circuit.socket_outlet_rated_current_a
    if outlet is not None and outlet > limits.property.arc_fault_socket_outlet_a.value:
        return None
    if house.premises is None:
        return undetermined("premises")
    if house.premises not in _ARC_FAULT_PREMISES:
        return holds(True, value=house.premises.value, case="not_required")
    detects = _detects_arcs(circuit, house)
    if outlet is None and not detects:
        return undetermined(f"circuits.{circuit.id}.socket_outlet_rated_current_a")
    return holds(detects, value=house.premises.value, case="required")


def _detects_arcs(circuit: Circuit, house: Installation) -> bool:
    return any(device.arc_fault_detection for device in house.devices_above(circuit))


@rule("CU-01", over=Over.BOARDS, consequence=Consequence.FIRE, objectives=("LO38", "LO44"))
def consumer_unit_of_a_dwelling(board: Board, house: Installation, limits: Limits) -> Verdict | None:
    """A dwelling's consumer unit belongs to its standard and has an enclosure that does not burn.

    Why: a loose terminal in a plastic enclosure under the stairs has burnt many a house.
    Remedy: a consumer unit to BS EN 61439-3 with a non-combustible enclosure, or a cabinet that is.
    Assumes: a unit older than the requirement was right when it was fitted: advice, not a failing.
    """
    if house.premises is None:
        return undetermined("premises")
    if house.premises not in HOUSEHOLDS:
        return None
    if board.noncombustible is None:
        return undetermined(f"boards.{board.id}.noncombustible")
    if not board.noncombustible:
        year = board.year_installed
        old = year is not None and year < limits.property.noncombustible_since_year.value
        return holds(False, case="enclosure", otherwise=Outcome.ADVICE if old else Outcome.DOES_NOT_COMPLY)
    if board.standard is None:
        return undetermined(f"boards.{board.id}.standard")
    of_standard = board.standard.startswith(ASSEMBLY_STANDARD)
    return holds(of_standard, value=board.standard, limit=ASSEMBLY_STANDARD, case="standard")


RULES: tuple[Rule, ...] = (
    surge_protection_provided,
    surge_device_of_the_right_type_on_short_leads,
    arc_fault_detection_where_required,
    consumer_unit_of_a_dwelling,
)
