"""Charging points for electric vehicles: their circuit, their residual current device, their load."""

from __future__ import annotations

from trainer.domain.cables import Circuit
from trainer.domain.calculations.currents import drawn_current_a
from trainer.domain.calculations.facts import MissingFactError
from trainer.domain.devices import Device
from trainer.domain.equipment import Charger, ChargerEarthing, Equipment, EquipmentKind
from trainer.domain.findings import Term, Verdict, at_least, at_most, holds, undetermined, within
from trainer.domain.installation import Installation
from trainer.domain.limits import Limits
from trainer.domain.rules.paths import (
    circuit_of,
    circuit_path,
    device_path,
    equipment_path,
    nearest_residual_device,
    rating_of,
    serves_only,
    system_of,
    type_of,
)
from trainer.domain.rules.registry import Over, Rule, rule
from trainer.domain.vocabulary import Consequence, EarthingSystem, Outcome, RcdType, Stated


@rule("EV-01", over=Over.EQUIPMENT, consequence=Consequence.FIRE, objectives=("LO13",))
def charger_on_its_own_circuit(item: Equipment, house: Installation, _limits: Limits) -> Verdict | None:
    """A charging point has a final circuit and an overcurrent device of its own.

    Why: it draws its full current for hours; anything else on the circuit overloads it every night.
    Remedy: a circuit and a device for the point alone.
    Assumes: a unit with several outlets and protective devices inside is judged after its last device.
    """
    if item.charger is None:
        return None
    circuit = circuit_of(house, item)
    if len(house.equipment_on(circuit)) > 1 or circuit.socket_outlets or circuit.luminaires:
        return holds(False, case="shared_circuit", related=(circuit_path(circuit),))
    device = house.overcurrent_device(circuit)
    if device is None:
        return holds(False, case="no_overcurrent_device", related=(circuit_path(circuit),))
    if not serves_only(house, device, circuit):
        return holds(False, case="shared_overcurrent_device", related=(device_path(device),))
    return holds(True, case="own_circuit")


@rule("EV-02", over=Over.EQUIPMENT, consequence=Consequence.FIRE, objectives=("LO13", "LO14"))
def charger_at_full_current(item: Equipment, house: Installation, _limits: Limits) -> Verdict | None:
    """The design current of a charger's circuit counts every point at full current, or at a fail-safe load limit.

    Why: vehicles charge together and for hours; diversity that holds for cookers does not hold here.
    Remedy: the full current, or load control that stays safe when its signal is lost.
    Assumes: a design current that is not stated follows from the charger.
    Formula: Ib >= points * full current, or >= the limit of a fail-safe load control
    """
    charger = item.charger
    if charger is None:
        return None
    if charger.load_limit_a is not None and charger.load_limit_fail_safe is None:
        return undetermined(f"{equipment_path(item)}.charger.load_limit_fail_safe")
    try:
        counted = drawn_current_a(item, house.supply.nominal_voltage_to_earth_v)
    except MissingFactError as gap:
        return undetermined(*gap.paths)
    stated = circuit_of(house, item).design_current_a
    return at_least(
        counted if stated is None else stated,
        counted,
        unit="A",
        terms=lambda: _demand_terms(item, charger),
        case=_demand_case(charger),
    )


def _demand_case(charger: Charger) -> str:
    if charger.load_limit_a is None:
        return "full_current"
    return "load_limit" if charger.load_limit_fail_safe else "load_limit_not_fail_safe"


def _demand_terms(item: Equipment, charger: Charger) -> list[Term]:
    terms = [Term("points", charger.points, "")]
    if item.rated_current_a is not None:
        terms.append(Term("rated_current", item.rated_current_a, "A"))
    if charger.load_limit_a is not None:
        terms.append(Term("load_limit", charger.load_limit_a, "A"))
    return terms


@rule("EV-03", over=Over.EQUIPMENT, consequence=Consequence.SHOCK, objectives=("LO08",))
def no_pen_in_the_chargers_circuit(item: Equipment, house: Installation, _limits: Limits) -> Verdict | None:
    """The circuit of a charging point contains no PEN conductor.

    Why: a break in it would make the car's body live inside the installation itself.
    Remedy: separate neutral and protective conductors from the origin on.
    """
    if item.charger is None:
        return None
    circuit = circuit_of(house, item)
    return holds(not circuit.contains_pen, case="pen_conductor", related=(circuit_path(circuit),))


@rule("EV-08", over=Over.EQUIPMENT, consequence=Consequence.SHOCK, objectives=("LO12",))
def residual_protection_of_the_charger(item: Equipment, house: Installation, limits: Limits) -> Verdict | None:
    """Each charging point has its own 30 mA device, type B, or type A or F together with 6 mA d.c. detection.

    Why: a fault behind the power-factor stage of a charger is d.c. that never falls to zero; types A
    and F are not required to act on it, and while it flows nobody may rely on them.
    Remedy: for each point a device of its own: type B, or type A or F with a detector in the unit or
    the board. Detection alone is no residual current device.
    Assumes: a device inside the unit counts when its sheet names one of the listed product standards,
    in a unit of several points for each of them. A silent sheet detects nothing. Electrical separation is exempt.
    """
    charger = item.charger
    if charger is None:
        return None
    separated = charger.earthing is ChargerEarthing.ELECTRICAL_SEPARATION
    try:
        verdict = _charger_verdict(item, house, limits)
    except MissingFactError as gap:
        return holds(True, case="electrical_separation") if separated else undetermined(*gap.paths)
    if separated and verdict.outcome is not Outcome.COMPLIES:
        return holds(True, case="electrical_separation")
    return verdict


def _charger_verdict(item: Equipment, house: Installation, limits: Limits) -> Verdict:
    inside = _built_in(item, limits)
    if inside is not None and inside.outcome is Outcome.COMPLIES:
        return inside
    circuit = circuit_of(house, item)
    device = nearest_residual_device(house, circuit)
    if device is None:
        return inside or holds(False, case="no_residual_current_device")
    detection = device.direct_current_detection_ma
    fitted = type_of(device)
    verdict = _suits(fitted, rating_of(device), detection, item, limits)
    if verdict.outcome is Outcome.COMPLIES:
        shared = _shared_by(item, house, device, circuit)
        return verdict if shared is None else _shared(fitted, device, shared)
    return holds(
        False, value=verdict.value, limit=verdict.limit, unit=verdict.unit, case=verdict.case,
        related=(device_path(device),),
    )  # fmt: skip


def _shared_by(item: Equipment, house: Installation, device: Device, circuit: Circuit) -> str | None:
    """Who shares a device in the board with a point: other circuits, or further points of the same unit."""
    if not serves_only(house, device, circuit):
        return "shared_device"
    return "several_points" if item.charger is not None and item.charger.points > 1 else None


def _shared(fitted: RcdType, device: Device, case: str) -> Verdict:
    """A device of the right type that others share: their leakage and its own add up."""
    related = (device_path(device),)
    return holds(False, value=fitted, case=case, related=related, consequence=Consequence.NUISANCE)


def _built_in(item: Equipment, limits: Limits) -> Verdict | None:
    """The verdict on a device inside the unit; None where none is named with a listed standard."""
    own = item.built_in_rcd
    if own is None:
        return None
    if not limits.residual.is_listed(own.standard):
        return holds(False, value=own.standard, case="built_in_not_listed")
    return _suits(own.rcd_type, own.rated_residual_operating_current_ma, None, item, limits)


def _suits(fitted: RcdType, rating_ma: float, detection_ma: float | None, item: Equipment, limits: Limits) -> Verdict:
    """The verdict on type, rating and detection, wherever the device is."""
    ceiling = limits.residual.additional_protection_ma
    if not within(rating_ma, ceiling.value):
        return at_most(rating_ma, ceiling, case="rating_above_limit")
    if fitted is RcdType.B:
        return holds(True, value=fitted, limit=RcdType.B, case="type_b")
    if fitted is RcdType.AC:
        return holds(False, value=fitted, limit=RcdType.A, case="type_ac")
    threshold = limits.charger.direct_current_detection_ma
    if detection_ma is not None and within(detection_ma, threshold.value):
        return at_most(detection_ma, threshold, case="detection_in_the_board")
    return _detection_in_the_unit(fitted, item, limits)


def _detection_in_the_unit(fitted: RcdType, item: Equipment, limits: Limits) -> Verdict:
    charger = item.charger
    stated = None if charger is None else charger.direct_current_detection
    if charger is None or stated is None:
        raise MissingFactError(f"{equipment_path(item)}.charger.direct_current_detection")
    if stated is Stated.YES:
        threshold = limits.charger.direct_current_detection_ma
        own = charger.direct_current_detection_ma
        if own is not None and not within(own, threshold.value):
            return at_most(own, threshold, case="detection_too_coarse")
        return at_most(threshold.value if own is None else own, threshold, case="detection_in_the_unit")
    case = "sheet_silent" if stated is Stated.SILENT else "no_detection"
    return holds(False, value=fitted, limit=RcdType.B, case=case)


@rule("EV-09", over=Over.EQUIPMENT, consequence=Consequence.SHOCK, objectives=("LO12",))
def chargers_device_opens_all_live_conductors(item: Equipment, house: Installation, limits: Limits) -> Verdict | None:
    """The residual current device of a charging point opens all live conductors.

    Why: with the PEN open or the polarity wrong, the neutral can be at a dangerous voltage.
    Remedy: two poles for one phase, four for three.
    """
    if item.charger is None:
        return None
    own = item.built_in_rcd
    if own is not None and own.opens_all_live and limits.residual.is_listed(own.standard):
        return holds(True, case="built_in")
    circuit = circuit_of(house, item)
    device = nearest_residual_device(house, circuit)
    if device is None:
        return None if own is None else holds(False, case="built_in")
    return at_least(
        device.poles, circuit.live_conductors, unit="poles", case="device_in_the_board", related=(device_path(device),)
    )


@rule("EV-10", over=Over.EQUIPMENT, consequence=Consequence.DOCUMENTATION, objectives=("LO13",))
def dedicated_connection_point(item: Equipment, _house: Installation, _limits: Limits) -> Verdict | None:
    """Each vehicle has a connection point of its own: a mode 3 connector or a dedicated outlet.

    Why: a lead that wanders between ordinary outlets heats contacts that were never made for hours.
    Remedy: a charging unit with its own connection.
    """
    if item.charger is None:
        return None
    return holds(not item.plug_in, case="dedicated_outlet")


@rule("EV-11", over=Over.INSTALLATION, consequence=Consequence.FIRE, objectives=("LO33", "LO43"))
def supply_adequate_for_charging(house: Installation, _same: Installation, limits: Limits) -> Verdict | None:
    """Before a charging point is added the supply is known to be adequate and its earth sound.

    Why: a charger is the largest load that a house has ever had, and it runs when everybody sleeps.
    Remedy: ask the network operator; find out why an impedance exceeds what is declared.
    Assumes: demand against the service fuse is judged by the rule on maximum demand.
    """
    if not any(item.kind is EquipmentKind.CHARGER for item in house.equipment.values()):
        return None
    if house.supply.declared_adequate is None:
        return undetermined("supply.declared_adequate")
    if not house.supply.declared_adequate:
        return holds(False, case="declared_inadequate")
    try:
        return _sound_earth(house, system_of(house), limits)
    except MissingFactError as gap:
        return undetermined(*gap.paths)


def _sound_earth(house: Installation, system: EarthingSystem, limits: Limits) -> Verdict:
    """The external impedance against what network operators declare; an electrode is judged elsewhere."""
    declared = limits.network.declared_impedance_ohm.get(system)
    if declared is None or system is EarthingSystem.TT:
        return holds(True, case="declared_adequate")
    external = house.supply.external_earth_fault_loop_impedance_ohm
    if external is None:
        raise MissingFactError("supply.external_earth_fault_loop_impedance_ohm")
    return at_most(external, declared, case="external_impedance", otherwise=Outcome.ADVICE)


@rule("EV-13", over=Over.EQUIPMENT, consequence=Consequence.SHOCK, objectives=("LO12", "LO10"))
def phases_of_chargers(item: Equipment, house: Installation, _limits: Limits) -> Verdict | None:
    """A three-phase charger has a neutral; several single-phase ones are spread over the lines.

    Why: a vehicle may charge on one phase of a three-phase point; chargers on one line alone unbalance the site.
    Remedy: a circuit with neutral, opened together with the lines; the points rotated over the lines.
    Assumes: the poles of the device are judged by the rule on live conductors; a crowded line is advice.
    """
    if item.charger is None or house.supply.phases == 1:
        return None
    circuit = circuit_of(house, item)
    if item.phases > 1:
        return holds(circuit.has_neutral, case="neutral", related=(circuit_path(circuit),))
    return _spread(circuit, house)


def _spread(circuit: Circuit, house: Installation) -> Verdict | None:
    """Single-phase points on the line of this one against an even share."""
    lines = [
        house.circuits[other.circuit].line
        for other in house.equipment.values()
        if other.charger is not None and other.phases == 1
    ]
    if len(lines) == 1:
        return None
    share = -(-len(lines) // house.supply.phases)
    return at_most(lines.count(circuit.line), share, unit="points", case="spread", otherwise=Outcome.ADVICE)


@rule("EV-14", over=Over.EQUIPMENT, consequence=Consequence.EQUIPMENT, objectives=("LO13", "LO42"))
def hours_of_full_load_in_the_enclosure(item: Equipment, house: Installation, _limits: Limits) -> Verdict | None:
    """A charger's current, drawn for hours, stays within its device's rating times the board's diversity factor.

    Why: neighbours in a warm enclosure carry less than is printed on them, and this load does not pause.
    Remedy: a higher rating with the cable to match, space beside the device, or a board of higher factor.
    Assumes: the factor that the board's maker declares.
    Formula: Ib <= In * rated diversity factor
    """
    if item.charger is None:
        return None
    device = house.overcurrent_device(circuit_of(house, item))
    if device is None:
        return None
    factor = house.boards[device.board].rated_diversity_factor
    if factor is None:
        return undetermined(f"boards.{device.board}.rated_diversity_factor")
    try:
        current = drawn_current_a(item, house.supply.nominal_voltage_to_earth_v)
    except MissingFactError as gap:
        return undetermined(*gap.paths)
    rated = device.rated_current_a
    return at_most(
        current,
        rated * factor,
        unit="A",
        terms=lambda: (Term("rated_current", rated, "A"), Term("rated_diversity_factor", factor, "")),
        case="rated_diversity_factor",
        related=(device_path(device),),
    )


RULES: tuple[Rule, ...] = (
    charger_on_its_own_circuit,
    charger_at_full_current,
    no_pen_in_the_chargers_circuit,
    residual_protection_of_the_charger,
    chargers_device_opens_all_live_conductors,
    dedicated_connection_point,
    supply_adequate_for_charging,
    phases_of_chargers,
    hours_of_full_load_in_the_enclosure,
)
